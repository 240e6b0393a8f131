"""The 37 harmonic constituents that NOAA publishes, as Schureman defines them.

Source: P. Schureman, Manual of Harmonic Analysis and Prediction of Tides, U.S. Coast and Geodetic
Survey Special Publication No. 98 (1940, reprinted 1958), Table 2. Public domain.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

AstronomicalRow = tuple[int, int, int, int, int, int]
NodalRow = tuple[int, int, int, int, int, int]


@dataclass(frozen=True, slots=True)
class Constituent:
    """One cosine of the tide.

    speed_deg_per_hour: degrees per mean solar hour.
    v_terms: multipliers of T, s, h, p, p1 and a constant in degrees; their sum is V.
    u_terms: multipliers of xi, nu, nu', 2nu'', R, Q; their sum is u.
    f_rule: the node factor as a product, such as "M2^2*K1"; "1" where the moon's node has no part.
    """

    name: str
    speed_deg_per_hour: float
    v_terms: AstronomicalRow
    u_terms: NodalRow
    f_rule: str

    def f_powers(self) -> tuple[tuple[str, int], ...]:
        """The node factors multiplied and their powers: "M2^2*K1" gives (("M2", 2), ("K1", 1))."""
        if self.f_rule == "1":
            return ()
        factors = (part.partition("^") for part in self.f_rule.split("*"))
        return tuple((name, int(power or 1)) for name, _, power in factors)


def _row(name: str, speed: float, v: AstronomicalRow, u: NodalRow, f: str) -> Constituent:
    return Constituent(name, speed, v, u, f)


# M1: p is left out of V (it enters through Q in u) and yet is part of the speed. Both are needed to meet
# NOAA's output: p kept in V costs up to 1.1 cm at Seattle.
CONSTITUENTS: Final[tuple[Constituent, ...]] = (
    #     name, deg/h,     V: (T, s, h, p, p1, const), u: (xi, nu, nu', 2nu'', R, Q), f
    _row("M2", 28.9841042, (2, -2, 2, 0, 0, 0), (2, -2, 0, 0, 0, 0), "M2"),
    _row("S2", 30.0, (2, 0, 0, 0, 0, 0), (0, 0, 0, 0, 0, 0), "1"),
    _row("N2", 28.4397295, (2, -3, 2, 1, 0, 0), (2, -2, 0, 0, 0, 0), "M2"),
    _row("K1", 15.0410686, (1, 0, 1, 0, 0, -90), (0, 0, -1, 0, 0, 0), "K1"),
    _row("M4", 57.9682084, (4, -4, 4, 0, 0, 0), (4, -4, 0, 0, 0, 0), "M2^2"),
    _row("O1", 13.9430356, (1, -2, 1, 0, 0, 90), (2, -1, 0, 0, 0, 0), "O1"),
    _row("M6", 86.9523126, (6, -6, 6, 0, 0, 0), (6, -6, 0, 0, 0, 0), "M2^3"),
    _row("MK3", 44.0251729, (3, -2, 3, 0, 0, -90), (2, -2, -1, 0, 0, 0), "M2*K1"),
    _row("S4", 60.0, (4, 0, 0, 0, 0, 0), (0, 0, 0, 0, 0, 0), "1"),
    _row("MN4", 57.4238337, (4, -5, 4, 1, 0, 0), (4, -4, 0, 0, 0, 0), "M2^2"),
    _row("NU2", 28.5125831, (2, -3, 4, -1, 0, 0), (2, -2, 0, 0, 0, 0), "M2"),
    _row("S6", 90.0, (6, 0, 0, 0, 0, 0), (0, 0, 0, 0, 0, 0), "1"),
    _row("MU2", 27.9682084, (2, -4, 4, 0, 0, 0), (2, -2, 0, 0, 0, 0), "M2"),
    _row("2N2", 27.8953548, (2, -4, 2, 2, 0, 0), (2, -2, 0, 0, 0, 0), "M2"),
    _row("OO1", 16.1391017, (1, 2, 1, 0, 0, -90), (-2, -1, 0, 0, 0, 0), "OO1"),
    _row("LAM2", 29.4556253, (2, -1, 0, 1, 0, 180), (2, -2, 0, 0, 0, 0), "M2"),
    _row("S1", 15.0, (1, 0, 0, 0, 0, 0), (0, 0, 0, 0, 0, 0), "1"),
    _row("M1", 14.4966939, (1, -1, 1, 0, 0, -90), (1, -1, 0, 0, 0, 1), "M1"),
    _row("J1", 15.5854433, (1, 1, 1, -1, 0, -90), (0, -1, 0, 0, 0, 0), "J1"),
    _row("MM", 0.5443747, (0, 1, 0, -1, 0, 0), (0, 0, 0, 0, 0, 0), "MM"),
    _row("SSA", 0.0821373, (0, 0, 2, 0, 0, 0), (0, 0, 0, 0, 0, 0), "1"),
    _row("SA", 0.0410686, (0, 0, 1, 0, 0, 0), (0, 0, 0, 0, 0, 0), "1"),
    _row("MSF", 1.0158958, (0, 2, -2, 0, 0, 0), (-2, 2, 0, 0, 0, 0), "M2"),
    _row("MF", 1.0980331, (0, 2, 0, 0, 0, 0), (-2, 0, 0, 0, 0, 0), "MF"),
    _row("RHO", 13.4715145, (1, -3, 3, -1, 0, 90), (2, -1, 0, 0, 0, 0), "O1"),
    _row("Q1", 13.3986609, (1, -3, 1, 1, 0, 90), (2, -1, 0, 0, 0, 0), "O1"),
    _row("T2", 29.9589333, (2, 0, -1, 0, 1, 0), (0, 0, 0, 0, 0, 0), "1"),
    _row("R2", 30.0410667, (2, 0, 1, 0, -1, 180), (0, 0, 0, 0, 0, 0), "1"),
    _row("2Q1", 12.8542862, (1, -4, 1, 2, 0, 90), (2, -1, 0, 0, 0, 0), "O1"),
    _row("P1", 14.9589314, (1, 0, -1, 0, 0, 90), (0, 0, 0, 0, 0, 0), "1"),
    _row("2SM2", 31.0158958, (2, 2, -2, 0, 0, 0), (-2, 2, 0, 0, 0, 0), "M2"),
    _row("M3", 43.4761563, (3, -3, 3, 0, 0, 0), (3, -3, 0, 0, 0, 0), "M3"),
    _row("L2", 29.5284789, (2, -1, 2, -1, 0, 180), (2, -2, 0, 0, -1, 0), "L2"),
    _row("2MK3", 42.9271398, (3, -4, 3, 0, 0, 90), (4, -4, 1, 0, 0, 0), "M2^2*K1"),
    _row("K2", 30.0821373, (2, 0, 2, 0, 0, 0), (0, 0, 0, -1, 0, 0), "K2"),
    _row("M8", 115.9364169, (8, -8, 8, 0, 0, 0), (8, -8, 0, 0, 0, 0), "M2^4"),
    _row("MS4", 58.9841042, (4, -2, 2, 0, 0, 0), (2, -2, 0, 0, 0, 0), "M2"),
)

INDEX: Final[Mapping[str, int]] = MappingProxyType({c.name: i for i, c in enumerate(CONSTITUENTS)})
"""Where a constituent stands in CONSTITUENTS, by NOAA's name ("M2", "RHO", "LAM2")."""
