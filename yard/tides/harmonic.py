"""Height of a tide from its harmonic constants.

height above datum = Z0 + sum of f A cos(a t + (V0 + u) - g), with Z0 the mean level above datum, t the
hours since 1 January 00:00 UTC of the year, f and u taken at the middle of that calendar year. Each UTC
year has its own set, so at New Year the height steps by some millimetres, as it does in NOAA's tables.
Source: Schureman, SP 98; agreement with NOAA's predictions is tested in tests/tides/.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from yard.tides.astronomy import year_factors
from yard.tides.constituents import CONSTITUENTS
from yard.tides.source import UNIX_EPOCH, FloatArray, times_of

IntArray = NDArray[np.int64]
CHUNK = 4096
"""Times evaluated at once; keeps the table of cosines within a processor's cache."""
BLOCK = 300
"""Steps in a block of an evenly spaced row; a year at 6 minutes is 292 blocks of 300."""
SINGLE_THREAD = 250_000
"""Multiplications in one matrix product. OpenBLAS spreads 262,145 and more over all cores, which on a busy
machine costs 15 ms of processor time for a year at 6 minutes instead of 2 (measured on 2 cores)."""


@dataclass(frozen=True, eq=False, slots=True)
class Constants:
    """Harmonic constants of a place, validated at birth.

    rows: index of each constituent in CONSTITUENTS, shape (k,); amplitudes_m and phases_deg (Greenwich
    phase lag) the same shape; mean_level_m: mean level above datum.
    """

    rows: IntArray
    amplitudes_m: FloatArray
    phases_deg: FloatArray
    mean_level_m: float

    def __post_init__(self) -> None:
        if not len(self.rows) == len(self.amplitudes_m) == len(self.phases_deg):
            raise ValueError("each constituent needs one amplitude and one phase")
        if len(set(self.rows.tolist())) != len(self.rows):
            raise ValueError("a constituent is given twice")


@dataclass(frozen=True, eq=False, slots=True)
class YearTide:
    """The tide of one place in one UTC year, as cosines of seconds since that year began.

    begin_s, end_s: the year, seconds since 1970. speeds: radians per second; amplitudes_m: f A;
    phases: V0 + u - g in radians; all of shape (k,).
    """

    begin_s: float
    end_s: float
    mean_level_m: float
    speeds: FloatArray
    amplitudes_m: FloatArray
    phases: FloatArray

    def heights_m(self, times: FloatArray) -> FloatArray:
        """Metres above datum at any times (seconds since 1970), shape (n,)."""
        heights = np.empty(len(times))
        for at in range(0, len(times), CHUNK):
            part = slice(at, at + CHUNK)
            angles = np.multiply.outer(times[part] - self.begin_s, self.speeds) + self.phases
            heights[part] = _weighed(np.cos(angles), self.amplitudes_m)
        return heights + self.mean_level_m

    def heights_and_slopes(self, times: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Metres above datum and metres per second at any times, each of shape (n,)."""
        angles = np.multiply.outer(times - self.begin_s, self.speeds) + self.phases
        slopes = _weighed(np.sin(angles), -self.amplitudes_m * self.speeds)
        return _weighed(np.cos(angles), self.amplitudes_m) + self.mean_level_m, slopes

    def slopes_and_bends(self, times: FloatArray) -> tuple[FloatArray, FloatArray]:
        """First and second derivative (m/s, m/s2) at any times, each of shape (n,)."""
        angles = np.multiply.outer(times - self.begin_s, self.speeds) + self.phases
        slopes = _weighed(np.sin(angles), -self.amplitudes_m * self.speeds)
        return slopes, _weighed(np.cos(angles), -self.amplitudes_m * self.speeds**2)

    def row(self, first_s: float, step_s: float, count: int, *, slopes: bool = False) -> FloatArray:
        """Heights (or slopes, m/s) at first_s + step_s x 0, 1, ... count - 1, shape (count,).

        One matrix product: cos(block + step) = cos cos - sin sin, so each cosine is worked out once for
        a block and once for a step. Far faster than heights_m, and equal to it within 1e-9 m.
        """
        block = min(BLOCK, count)
        blocks = -(-count // block)
        weights = self.amplitudes_m * (self.speeds if slopes else 1.0)
        turn = self.phases + (np.pi / 2 if slopes else 0.0)
        starts = first_s - self.begin_s + step_s * block * np.arange(blocks)
        outer = np.multiply.outer(starts, self.speeds) + turn
        inner = np.multiply.outer(self.speeds, step_s * np.arange(block))
        left = np.hstack((np.cos(outer) * weights, np.sin(outer) * -weights))
        right = np.vstack((np.cos(inner), np.sin(inner)))
        table = np.empty((blocks, block))
        at_once = max(1, SINGLE_THREAD // max(1, right.size))
        for at in range(0, blocks, at_once):
            np.matmul(left[at : at + at_once], right, out=table[at : at + at_once])
        return table.ravel()[:count] + (0.0 if slopes else self.mean_level_m)


@dataclass(frozen=True, eq=False)
class HarmonicTide:
    """The tide of one place over any years."""

    constants: Constants
    _years: dict[int, YearTide] = field(default_factory=dict, repr=False, compare=False)

    def year(self, year: int) -> YearTide:
        """The tide in a UTC calendar year. Raises YearOutOfRange."""
        if year not in self._years:
            self._years[year] = self._make_year(year)
        return self._years[year]

    def years(self, begin_s: float, end_s: float) -> Iterator[YearTide]:
        """Each UTC year that [begin_s, end_s) touches, in order. begin_s < end_s."""
        first, last = year_of(begin_s), year_of(float(np.nextafter(end_s, begin_s)))
        yield from (self.year(year) for year in range(first, last + 1))

    def heights_m(self, times: FloatArray) -> FloatArray:
        """Metres above datum, shape (n,), at any times (seconds since 1970). Even spacing is fast."""
        times = times_of(times)
        if not len(times):
            return np.empty(0)
        heights = np.empty(len(times))
        step = _even_step(times)
        for year in self.years(float(times.min()), float(np.nextafter(times.max(), np.inf))):
            if step > 0:
                low, high = np.searchsorted(times, (year.begin_s, year.end_s))
                if high > low:
                    heights[low:high] = year.row(float(times[low]), step, int(high - low))
            else:
                inside = (times >= year.begin_s) & (times < year.end_s)
                heights[inside] = year.heights_m(times[inside])
        return heights

    def _make_year(self, year: int) -> YearTide:
        constants, factors = self.constants, year_factors(year)
        rows = constants.rows
        speeds = np.radians([CONSTITUENTS[row].speed_deg_per_hour for row in rows]) / 3600
        return YearTide(
            begin_s=_year_begins(year),
            end_s=_year_begins(year + 1),
            mean_level_m=constants.mean_level_m,
            speeds=speeds,
            amplitudes_m=constants.amplitudes_m * factors.f[rows],
            phases=np.radians((factors.v0u_deg[rows] - constants.phases_deg) % 360),
        )


def _weighed(cosines: FloatArray, weights: FloatArray) -> FloatArray:
    """Row sums of shape (n,) from (n, k) and (k,); einsum, because a BLAS product of this size wakes all cores."""
    total: FloatArray = np.einsum("nk,k->n", cosines, weights)
    return total


def year_of(seconds: float) -> int:
    """The UTC calendar year of a time in seconds since 1970."""
    guess = int(1970 + seconds // 31_556_952)
    if seconds < _year_begins(guess):
        return guess - 1
    return guess + 1 if seconds >= _year_begins(guess + 1) else guess


@lru_cache(maxsize=512)
def _year_begins(year: int) -> float:
    return (datetime(year, 1, 1, tzinfo=UTC) - UNIX_EPOCH).total_seconds()


def _even_step(times: FloatArray) -> float:
    """The step of an evenly spaced, rising row of many times in seconds; else 0."""
    if len(times) < 64:
        return 0.0
    step = float(times[-1] - times[0]) / (len(times) - 1)
    if step <= 0:
        return 0.0
    return step if np.abs(times - (times[0] + step * np.arange(len(times)))).max() < 1e-4 else 0.0
