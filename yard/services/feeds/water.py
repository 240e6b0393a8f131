"""What an event says of the water: her window, what she needs, what is predicted, and the datum."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from django.utils.translation import gettext as _
from numpy.typing import NDArray

from yard.feeds.event import Geo
from yard.models import Job, Mooring, Order, WaterNeed, YardSettings
from yard.services.read_problem import WaterLevel, WaterUnknown, level_for, tide_at
from yard.speech import number
from yard.tides.source import ASTRONOMICAL_ONLY, TideError, TideSource

FOOT_M = 0.3048
AROUND_MIN = 400
"""Minutes looked at to either side: more than half a tide, so that a window is seen whole."""
ROUNDING_M = 0.001
"""The planner's levels are rounded up to the millimetre."""

BoolArray = NDArray[np.bool_]


def height_words(metres: float, yard: YardSettings) -> str:
    """9.8 ft, or 2.99 m."""
    feet = yard.units == YardSettings.Units.FEET
    return f"{number(metres / FOOT_M, 1)} ft" if feet else f"{number(metres, 2)} m"


def mooring_of(order: Order, berth_of: Mapping[int, Mooring]) -> Mooring | None:
    """Where she goes: the order's own mooring, else the one of her permit, by boat."""
    return order.to_mooring if order.to_mooring is not None else berth_of.get(order.boat_id or 0)


def geo_of(job: Job, yard: YardSettings, berth_of: Mapping[int, Mooring]) -> Geo | None:
    """The ramp for what goes over it (the yard's own position), the mooring for what is done there."""
    if job.water_need in (WaterNeed.ROUTE, WaterNeed.MOORING, WaterNeed.BELOW_MAXIMUM):
        mooring = mooring_of(job.order, berth_of)
        if mooring is not None and mooring.latitude is not None and mooring.longitude is not None:
            return Geo(mooring.latitude, mooring.longitude)
        return None
    if job.water_need == WaterNeed.RAMP and yard.latitude is not None and yard.longitude is not None:
        return Geo(yard.latitude, yard.longitude)
    return None


@dataclass
class WaterWords:
    """The water of many jobs, each tide opened once."""

    yard: YardSettings
    berth_of: Mapping[int, Mooring]
    _tides: dict[str, TideSource | None] = field(default_factory=dict)

    def of(self, job: Job, starts_at: datetime, ends_at: datetime, floated_at_m: float | None) -> tuple[str, ...]:
        """Lines for a job that needs water in [starts_at, ends_at); none for one that needs none."""
        if job.water_need == WaterNeed.NONE or job.order.boat is None:
            return ()
        try:
            level = level_for(
                job.water_need,
                job.order.boat,
                mooring_of(job.order, self.berth_of),
                self.yard,
                floated_at_m=floated_at_m,
            )
        except WaterUnknown as unknown:
            return (_("Water not judged: {unknown}.").format(unknown=unknown),)
        tide = None if level is None else self._tide(level.where)
        if level is None or tide is None:
            return ()
        try:
            return (self._line(level, tide, starts_at, ends_at), _(ASTRONOMICAL_ONLY))
        except TideError as error:
            return (_("Water not judged: {error}.").format(error=error),)

    def _tide(self, where: str) -> TideSource | None:
        if where not in self._tides:
            try:
                self._tides[where] = tide_at(self.yard, where) if self.yard.tide_station else None
            except TideError:
                self._tides[where] = None
        return self._tides[where]

    def _line(self, level: WaterLevel, tide: TideSource, starts_at: datetime, ends_at: datetime) -> str:
        begins = starts_at.astimezone(UTC).replace(second=0, microsecond=0) - timedelta(minutes=AROUND_MIN)
        count = int((ends_at - begins).total_seconds() // 60) + AROUND_MIN
        heights = tide.heights_m(begins.timestamp() + 60.0 * np.arange(count, dtype=np.float64))
        rising = np.gradient(heights) >= 0
        enough = heights >= np.where(rising, level.rising_m, level.falling_m) - ROUNDING_M
        here = int((starts_at - begins).total_seconds() // 60)
        needed = level.rising_m if rising[here] else level.falling_m
        words = _("needs {needed}, predicted {predicted} above {datum} at {at}").format(
            needed=height_words(needed, self.yard),
            predicted=height_words(float(heights[here]), self.yard),
            datum=tide.datum,
            at=self._clock(starts_at),
        )
        if not enough[here]:
            return _("No water for her then: {words}.").format(words=words)
        first, last = _run_around(enough, here)
        return _("Water for her {since} to {until}: {words}.").format(
            since=self._clock(begins + timedelta(minutes=first)),
            until=self._clock(begins + timedelta(minutes=last)),
            words=words,
        )

    def _clock(self, at: datetime) -> str:
        return f"{at.astimezone(ZoneInfo(self.yard.time_zone)):%H:%M}"


def _run_around(holds: BoolArray, here: int) -> tuple[int, int]:
    first = last = here
    while first > 0 and holds[first - 1]:
        first -= 1
    while last < len(holds) - 1 and holds[last + 1]:
        last += 1
    return first, last
