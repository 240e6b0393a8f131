"""Any tide with a yard's own offsets: later, scaled about the datum, higher or lower."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from yard.tides.source import FloatArray, Offsets, TideEvent, TideSource, TideWindow, levels_of, utc


class Shiftable:
    """What every source shares: it may be shifted, and the result shifted again."""

    def shifted(self: TideSource, offsets: Offsets) -> TideSource:
        """This tide with a yard's own offsets."""
        return ShiftedSource(self, offsets)


@dataclass(frozen=True)
class ShiftedSource(Shiftable):
    """Another source with offsets; exact wherever that source is."""

    base: TideSource
    offsets: Offsets

    @property
    def name(self) -> str:
        return self.base.name

    @property
    def datum(self) -> str:
        return self.base.datum

    @property
    def zone(self) -> str:
        return self.base.zone

    @property
    def method(self) -> str:
        by = self.offsets
        return f"{self.base.method}; offsets {by.time_min:+g} min, x {by.ratio:g}, {by.height_m:+g} m"

    @property
    def left_out(self) -> tuple[str, ...]:
        return self.base.left_out

    @property
    def warnings(self) -> tuple[str, ...]:
        return self.base.warnings

    def heights_m(self, times: FloatArray) -> FloatArray:
        at_station = np.asarray(times, dtype=np.float64) - self._later.total_seconds()
        return self.base.heights_m(at_station) * self.offsets.ratio + self.offsets.height_m

    def events(self, starts_at: datetime, ends_at: datetime) -> list[TideEvent]:
        later, ratio, higher = self._later, self.offsets.ratio, self.offsets.height_m
        at_station = self.base.events(utc(starts_at) - later, utc(ends_at) - later)
        return [TideEvent(e.at + later, e.height_m * ratio + higher, e.kind) for e in at_station]

    def windows(
        self, starts_at: datetime, ends_at: datetime, levels_m: Sequence[float], above: bool = True
    ) -> list[list[TideWindow]]:
        later = self._later
        levels = ((levels_of(levels_m) - self.offsets.height_m) / self.offsets.ratio).tolist()
        found = self.base.windows(utc(starts_at) - later, utc(ends_at) - later, levels, above)
        return [[_later(window, later) for window in one] for one in found]

    @property
    def _later(self) -> timedelta:
        return timedelta(minutes=self.offsets.time_min)


def _later(window: TideWindow, by: timedelta) -> TideWindow:
    return TideWindow(window.starts_at + by, window.ends_at + by, window.opens_before, window.closes_after)
