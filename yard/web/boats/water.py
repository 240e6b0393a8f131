"""Water for one boat's next work on the ramp: what she needs and why, and each day's water in working hours."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np

from yard.models import Boat, GaugeReading, Job, WaterNeed, YardSettings
from yard.pictures.boat_water import (
    BoatWaterDay,
    BoatWaterInput,
    BoatWaterPicture,
    NeedsBarInput,
    NeedsBarPicture,
    lay_out,
    lay_out_needs,
)
from yard.pictures.lettering import WEEKDAYS
from yard.pictures.shapes import Span
from yard.queries.launches import ShutAndOpen
from yard.services.read_problem import WaterLevel, WaterUnknown, level_for
from yard.tides.source import TideError, TideSource
from yard.web.boats.words import spans_words
from yard.web.days.launch_list import shop_hours, shut_at
from yard.web.days.water import (
    FLOAT_OFF_MIN,
    ROUNDING_M,
    NoTide,
    heights_at,
    light_of,
    runs_of,
    spare_m,
    tide_of,
)
from yard.web.units import at_minute, height, height_unit, local, minute_on

FEWEST_DAYS, MOST_DAYS, DAYS_AFTER = 14, 24, 3
"""Two weeks are shown, or as far as a few days beyond her tide."""


@dataclass(frozen=True)
class WaterDay:
    """One day: why nobody works then ("" if they do), the highest water in working hours, and when she has hers.

    highest_m: metres above datum, None without working hours. minutes: the longest stretch inside them.
    """

    day: date
    shut: str
    highest_m: float | None
    minutes: int
    windows: tuple[Span, ...]


@dataclass(frozen=True)
class HerWater:
    """What her ramp work needs. reason: why nothing is known, "" if it is; then days and pictures stand."""

    reason: str = ""
    needs_m: float = 0.0
    needs_words: str = ""
    days: tuple[WaterDay, ...] = ()
    first_tide: date | None = None
    picture: BoatWaterPicture | None = None
    needs: NeedsBarPicture | None = None
    floated: GaugeReading | None = None
    source: TideSource | None = None

    def on(self, day: date) -> WaterDay | None:
        return next((each for each in self.days if each.day == day), None)

    def window_words(self, at: datetime) -> str:
        """ "08:58 to 09:45": her water about that moment; "" where she has none then or the day is not shown."""
        day = local(at).date()
        shown, minute = self.on(day), minute_on(at, day)
        return (
            spans_words(tuple(each for each in shown.windows if each.starts_min <= minute <= each.ends_min))
            if shown
            else ""
        )


@dataclass(frozen=True)
class RampJob:
    """Her next work on the ramp. ready_at: when what goes before it is over. floats_at: as planned, if it is."""

    job: Job
    ready_at: datetime | None
    ready_after: str
    floats_at: datetime | None


def her_water(
    boat: Boat, ramp: RampJob, yard: YardSettings, shut: ShutAndOpen, floated: GaugeReading | None, *, now: datetime
) -> HerWater:
    """Her water from today on, or in words what is missing to know it."""
    seen = floated.observed_m_above_datum if floated else None
    try:
        level = level_for(WaterNeed.RAMP, boat, None, yard, floated_at_m=seen)
    except WaterUnknown as unknown:
        return HerWater(reason=str(unknown))
    source = tide_of(yard)
    if isinstance(source, NoTide) or level is None:
        return HerWater(reason=source.reason if isinstance(source, NoTide) else "")
    first = local(now).date()
    try:
        days = tuple(
            _day(first + timedelta(days=n), source, yard, shut, level) for n in range(_how_many(first, ramp.floats_at))
        )
    except TideError as error:
        return HerWater(reason=f"the tides of these weeks are not known: {error}")
    ready = max(first, local(ramp.ready_at).date()) if ramp.ready_at else first
    tide = next((each.day for each in days if each.day >= ready and each.minutes >= FLOAT_OFF_MIN), None)
    return HerWater(
        needs_m=level.rising_m,
        needs_words=f"{height(level.rising_m, yard):.1f} {height_unit(yard)}",
        days=days,
        first_tide=tide,
        picture=_picture(boat, days, level, ready, tide, ramp, yard),
        needs=_needs(boat, yard) if floated is None else None,
        floated=floated,
        source=source,
    )


def _how_many(first: date, floats_at: datetime | None) -> int:
    beyond = (local(floats_at).date() - first).days + DAYS_AFTER + 1 if floats_at else FEWEST_DAYS
    return min(max(FEWEST_DAYS, beyond), MOST_DAYS)


def _day(day: date, source: TideSource, yard: YardSettings, shut: ShutAndOpen, level: WaterLevel) -> WaterDay:
    """Minute by minute; a minute beyond either end tells whether the water rises or falls there."""
    minutes = range(-1, 1442)
    heights = heights_at(source, day, minutes)
    enough = (spare_m(heights, yard) >= level.rising_m - yard.margin_rising_m - ROUNDING_M)[1:-1]
    heights = heights[1:-1]
    clock = np.arange(len(heights))
    reason = shut_at(shut, at_minute(day, 12 * 60))
    works = _working(day, yard, shut)
    if reason or works is None:
        return WaterDay(day, reason or "closed", None, 0, ())
    inside = (clock >= works.starts_min) & (clock <= works.ends_min)
    runs = runs_of(enough & inside)
    windows = tuple(Span(first, last) for first, last in runs_of(enough) if last > first)
    longest = max((last - first for first, last in runs), default=0)
    return WaterDay(day, "", float(heights[inside].max()), longest, windows)


def _working(day: date, yard: YardSettings, shut: ShutAndOpen) -> Span | None:
    """Shop hours in working light; None where there are none. Light counts alone where no hours are entered."""
    hours, light = shop_hours(shut, day), light_of(yard, day)
    starts, ends = (hours.starts_min, hours.ends_min) if hours else (0, 1440)
    if light.known:
        if light.works is None:
            return None
        starts, ends = (
            max(starts, minute_on(light.works.starts_at, day)),
            min(ends, minute_on(light.works.ends_at, day)),
        )
    return Span(starts, ends) if starts < ends else None


def _picture(
    boat: Boat,
    days: tuple[WaterDay, ...],
    level: WaterLevel,
    ready: date,
    tide: date | None,
    ramp: RampJob,
    yard: YardSettings,
) -> BoatWaterPicture:
    return lay_out(
        BoatWaterInput(
            boat=boat.name,
            days=tuple(
                BoatWaterDay(
                    each.day,
                    None if each.highest_m is None else height(each.highest_m, yard),
                    each.minutes,
                    rest_label=WEEKDAYS[each.day.weekday()] if each.shut else "",
                    not_ready=ramp.ready_after if each.day < ready else "",
                )
                for each in days
            ),
            needs=height(level.rising_m, yard),
            needs_min=FLOAT_OFF_MIN,
            first_tide=tide,
            height_unit=height_unit(yard),
        )
    )


def _needs(boat: Boat, yard: YardSettings) -> NeedsBarPicture:
    return lay_out_needs(
        NeedsBarInput(
            ramp_toe=height(yard.ramp_toe_m_above_datum or 0.0, yard),
            trailer=height(yard.trailer_height_m or 0.0, yard),
            draft=height(boat.draft_m or 0.0, yard),
            margin=height(yard.margin_rising_m, yard),
            height_unit=height_unit(yard),
        )
    )
