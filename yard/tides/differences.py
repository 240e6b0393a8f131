"""How a subordinate station's high and low waters follow from its reference station's.

Two ways are known: NOAA's fixed offsets, and differences that change with the hour and the height of the
reference's tide, as some almanacs give them for secondary ports (worked example in tests/tides/).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yard.speech import _
from yard.tides.roots import Extremes
from yard.tides.small_tides import in_order_of_time
from yard.tides.source import BoolArray, FloatArray, TideError

DAY_MIN = 24 * 60


@dataclass(frozen=True, slots=True)
class FixedDifferences:
    """NOAA's offsets, one for high and one for low water.

    time_min: minutes added to the reference's time. height: a ratio of the reference's height above its
    datum, or metres added to it (ratio=False). At 68 stations with little tide the two changes now and then
    put a high below the low beside it; it is kept and named as the reference names it.
    """

    high_time_min: float
    low_time_min: float
    high_height: float
    low_height: float
    ratio: bool

    @property
    def longest_s(self) -> float:
        return max(abs(self.high_time_min), abs(self.low_time_min)) * 60

    def apply(self, reference: Extremes) -> Extremes:
        """The subordinate station's high and low waters."""
        highs = reference.highs
        times = reference.times + 60 * np.where(highs, self.high_time_min, self.low_time_min)
        change = np.where(highs, self.high_height, self.low_height)
        heights = reference.heights_m * change if self.ratio else reference.heights_m + change
        return in_order_of_time(Extremes(times, heights, highs))


@dataclass(frozen=True, slots=True)
class VaryingDifference:
    """One kind of water's differences: points between which they are taken in proportion.

    by_minute: (minute of the day of the reference's water, minutes added), read round the clock.
    by_height: (reference's height in metres, metres added), at least two; carried on beyond them.
    """

    by_minute: tuple[tuple[float, float], ...]
    by_height: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        if not self.by_minute or not all(0 <= minute < DAY_MIN for minute, _ in self.by_minute):
            raise TideError(_("time differences need a minute of the day from 0 to 1439 each, one or more"))
        if len({height for height, _ in self.by_height}) < 2:
            raise TideError(_("height differences need two different heights of the reference or more"))

    def minutes(self, minute_of_day: FloatArray) -> FloatArray:
        """Minutes added, shape (n,)."""
        points = sorted(self.by_minute)
        return np.interp(minute_of_day, [m for m, _ in points], [d for _, d in points], period=DAY_MIN)

    def metres(self, heights_m: FloatArray) -> FloatArray:
        """Metres added, shape (n,)."""
        points = np.array(sorted(self.by_height))
        at = np.clip(np.searchsorted(points[:, 0], heights_m) - 1, 0, len(points) - 2)
        low, high = points[at], points[at + 1]
        share = (heights_m - low[:, 0]) / (high[:, 0] - low[:, 0])
        added: FloatArray = low[:, 1] + share * (high[:, 1] - low[:, 1])
        return added


@dataclass(frozen=True, slots=True)
class VaryingDifferences:
    """Differences that change with the hour and the height of the reference's tide.

    clock_min: the almanac's clock ahead of UTC in minutes, as the hours of by_minute are on it.
    """

    high: VaryingDifference
    low: VaryingDifference
    clock_min: float = 0.0

    @property
    def longest_s(self) -> float:
        return max(abs(d) for kind in (self.high, self.low) for _, d in kind.by_minute) * 60

    def apply(self, reference: Extremes) -> Extremes:
        """The secondary port's high and low waters."""
        minute = (reference.times / 60 + self.clock_min) % DAY_MIN
        added_s = 60 * self._by_kind(reference.highs, self.high.minutes(minute), self.low.minutes(minute))
        heights = reference.heights_m
        added_m = self._by_kind(reference.highs, self.high.metres(heights), self.low.metres(heights))
        return in_order_of_time(Extremes(reference.times + added_s, heights + added_m, reference.highs))

    @staticmethod
    def _by_kind(highs: BoolArray, for_high: FloatArray, for_low: FloatArray) -> FloatArray:
        return np.where(highs, for_high, for_low)


Differences = FixedDifferences | VaryingDifferences
