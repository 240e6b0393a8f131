"""Where moon and sun stand, and what the moon's node does to each constituent in a year.

Source: Schureman, Special Publication No. 98: Table 1 (mean longitudes, epoch 1900 January 0, Greenwich
mean noon), paragraphs 22-25 (I, xi, nu), Table 2 and formulas 73-79, 144, 149, 203-217 (node factors).
The values are checked for 1990 to 2060 against the node factors of xtide-data (tests/reference/).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from math import atan, atan2, cos, degrees, radians, sin, sqrt, tan
from typing import Final

import numpy as np

from yard.speech import _
from yard.tides.constituents import CONSTITUENTS
from yard.tides.source import FloatArray, TideError

EPOCH: Final = datetime(1899, 12, 31, 12, tzinfo=UTC)
SECONDS_PER_CENTURY: Final = 36525 * 86400.0
FIRST_YEAR: Final = 1900
LAST_YEAR: Final = 2100
"""Schureman's node factors are made for the twentieth century; agreement is checked up to 2060."""

OBLIQUITY_DEG: Final = 23.452
"""Of the ecliptic, 1900."""
MOON_INCLINATION_DEG: Final = 5.145
"""Of the moon's orbit to the ecliptic."""


class YearOutOfRange(TideError):
    """The year has no node factors: it lies outside FIRST_YEAR to LAST_YEAR."""


@dataclass(frozen=True, slots=True)
class Longitudes:
    """Mean longitudes in degrees: moon s, sun h, lunar perigee p, lunar node n, solar perigee p1."""

    s: float
    h: float
    p: float
    n: float
    p1: float


@dataclass(frozen=True, slots=True)
class NodeAngles:
    """The moon's node as angles in radians: inclination i to the equator, xi, nu, nu', 2nu'', R, Q, and P."""

    i: float
    xi: float
    nu: float
    nu_prime: float
    two_nu_dprime: float
    r: float
    q: float
    p_from_node: float


@dataclass(frozen=True, eq=False, slots=True)
class YearFactors:
    """f and V0 + u of every constituent for one UTC calendar year, in the order of CONSTITUENTS.

    f: at the middle of the year, shape (37,).
    v0u_deg: V at 1 January 00:00 UTC plus u at the middle of the year, degrees in [0, 360), shape (37,).
    """

    year: int
    f: FloatArray
    v0u_deg: FloatArray


def longitudes(at: datetime) -> Longitudes:
    """Mean longitudes at an instant, degrees in [0, 360). Source: Schureman, Table 1."""
    t = (at - EPOCH).total_seconds() / SECONDS_PER_CENTURY

    def polynomial(degree: float, minute: float, second: float, turns: int, *arcsec: float) -> float:
        start = degree + minute / 60 + second / 3600
        moved = sum(value * t ** (power + 1) for power, value in enumerate(arcsec)) / 3600
        return (start + (turns * t % 1.0) * 360 + moved) % 360

    return Longitudes(
        s=polynomial(270, 26, 14.72, 1336, 1_108_411.20, 9.09, 0.0068),
        h=polynomial(279, 41, 48.04, 0, 129_602_768.13, 1.089),
        p=polynomial(334, 19, 40.87, 11, 392_515.94, -37.24, -0.045),
        n=polynomial(259, 10, 57.12, -5, -482_912.63, 7.58, 0.008),
        p1=polynomial(281, 13, 15.0, 0, 6_189.03, 1.63, 0.012),
    )


def node_angles(place: Longitudes) -> NodeAngles:
    """The angles of the moon's node that f and u are made of. Source: Schureman, paragraphs 22-25, 122-129."""
    obliquity, inclination = radians(OBLIQUITY_DEG), radians(MOON_INCLINATION_DEG)
    n = radians(place.n if place.n <= 180 else place.n - 360)
    cos_i = cos(inclination) * cos(obliquity) - sin(inclination) * sin(obliquity) * cos(n)
    i = atan2(sqrt(1 - cos_i * cos_i), cos_i)
    half_sum, half_difference = (obliquity + inclination) / 2, (obliquity - inclination) / 2
    a = atan(cos(half_difference) / cos(half_sum) * tan(n / 2))
    b = atan(sin(half_difference) / sin(half_sum) * tan(n / 2))
    xi, nu = n - a - b, a - b
    p_from_node = radians(place.p) - xi
    return NodeAngles(
        i=i,
        xi=xi,
        nu=nu,
        nu_prime=atan2(sin(2 * i) * sin(nu), sin(2 * i) * cos(nu) + 0.3347),
        two_nu_dprime=atan2(sin(i) ** 2 * sin(2 * nu), sin(i) ** 2 * cos(2 * nu) + 0.0727),
        r=atan2(sin(2 * p_from_node), 1 / (6 * tan(i / 2) ** 2) - cos(2 * p_from_node)),
        q=atan2(0.483 * sin(p_from_node), cos(p_from_node)),
        p_from_node=p_from_node,
    )


def node_factors(angles: NodeAngles) -> dict[str, float]:
    """The named node factors that every f is a product of. Source: Schureman, formulas 73-79, 144, 149, 206-217."""
    i, nu, double_p = angles.i, angles.nu, 2 * angles.p_from_node
    m2 = cos(i / 2) ** 4 / 0.9154
    o1 = sin(i) * cos(i / 2) ** 2 / 0.3800
    tan2 = tan(i / 2) ** 2
    return {
        "M2": m2,
        "O1": o1,
        "M3": cos(i / 2) ** 6 / 0.8758,
        "MM": (2 / 3 - sin(i) ** 2) / 0.5021,
        "MF": sin(i) ** 2 / 0.1578,
        "J1": sin(2 * i) / 0.7214,
        "OO1": sin(i) * sin(i / 2) ** 2 / 0.0164,
        "K1": sqrt(0.8965 * sin(2 * i) ** 2 + 0.6001 * sin(2 * i) * cos(nu) + 0.1006),
        "K2": sqrt(19.0444 * sin(i) ** 4 + 2.7702 * sin(i) ** 2 * cos(2 * nu) + 0.0981),
        "L2": m2 * sqrt(1 - 12 * tan2 * cos(double_p) + 36 * tan2**2),
        "M1": o1 * sqrt(2.310 + 1.435 * cos(double_p)),
    }


@lru_cache(maxsize=256)
def year_factors(year: int) -> YearFactors:
    """f and V0 + u of every constituent for a UTC calendar year.

    Raises YearOutOfRange outside FIRST_YEAR to LAST_YEAR.
    """
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise YearOutOfRange(
            _("year {year} has no tide: node factors exist for {first} to {last}").format(
                year=year, first=FIRST_YEAR, last=LAST_YEAR
            )
        )
    begins, ends = datetime(year, 1, 1, tzinfo=UTC), datetime(year + 1, 1, 1, tzinfo=UTC)
    start = longitudes(begins)
    angles = node_angles(longitudes(begins + (ends - begins) / 2))
    named = node_factors(angles)
    # T, the hour angle of the mean sun, is 180 degrees at midnight.
    v_parts = np.array([180.0, start.s, start.h, start.p, start.p1, 1.0])
    u_parts = np.array([angles.xi, angles.nu, angles.nu_prime, angles.two_nu_dprime, angles.r, angles.q])
    f = np.array([_product(named, c.f_powers()) for c in CONSTITUENTS])
    v0 = np.array([c.v_terms for c in CONSTITUENTS], dtype=np.float64) @ v_parts
    u = np.array([c.u_terms for c in CONSTITUENTS], dtype=np.float64) @ np.array([degrees(x) for x in u_parts])
    v0u = (v0 + u) % 360
    f.setflags(write=False)
    v0u.setflags(write=False)
    return YearFactors(year, f, v0u)


def _product(named: dict[str, float], powers: tuple[tuple[str, int], ...]) -> float:
    result = 1.0
    for name, power in powers:
        result *= named[name] ** power
    return result
