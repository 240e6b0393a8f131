"""Water for one boat's next work on the ramp: what she needs and why, and each day's water in working hours."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.utils.translation import gettext as _

from yard.day_names import said
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
from yard.queries.launches import ShutAndOpen
from yard.services.read_problem import WaterLevel, WaterUnknown, level_for
from yard.speech import number
from yard.tides.source import TideError, TideSource
from yard.web.boats.water_days import WaterDay, shown_days, water_days
from yard.web.boats.words import spans_words
from yard.web.days.water import FLOAT_OFF_MIN, NoTide, tide_of
from yard.web.units import height, height_unit, local, minute_on


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
    """Her water in the days of `days_for`, or in words what is missing to know it."""
    seen = floated.observed_m_above_datum if floated else None
    try:
        level = level_for(WaterNeed.RAMP, boat, None, yard, floated_at_m=seen)
    except WaterUnknown as unknown:
        return HerWater(reason=str(unknown))
    source = tide_of(yard)
    if isinstance(source, NoTide) or level is None:
        return HerWater(reason=source.reason if isinstance(source, NoTide) else "")
    first, count = days_for(ramp, now)
    try:
        days = water_days(first, count, source, yard, shut, level)
    except TideError as error:
        return HerWater(reason=_("the tides of these weeks are not known: {why}").format(why=error))
    ready = _ready(ramp, now)
    tide = next((each.day for each in days if each.day >= ready and each.minutes >= FLOAT_OFF_MIN), None)
    if ready < first:
        tide = None  # days before those shown may have had one
    return HerWater(
        needs_m=level.rising_m,
        needs_words=f"{number(height(level.rising_m, yard), 1)} {height_unit(yard)}",
        days=days,
        first_tide=tide,
        picture=_picture(boat, days, level, ready, tide, ramp, yard),
        needs=_needs(boat, yard) if floated is None else None,
        floated=floated,
        source=source,
    )


def days_for(ramp: RampJob, now: datetime) -> tuple[date, int]:
    """The first day that is shown, and how many."""
    ready = local(ramp.ready_at).date() if ramp.ready_at else None
    return shown_days(local(now).date(), ready, local(ramp.floats_at).date() if ramp.floats_at else None)


def _ready(ramp: RampJob, now: datetime) -> date:
    today = local(now).date()
    return max(today, local(ramp.ready_at).date()) if ramp.ready_at else today


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
                    rest_label=said(each.day, "D") if each.shut else "",
                    not_ready=ramp.ready_after if each.day < ready else "",
                )
                for each in days
            ),
            needs=height(level.rising_m, yard),
            needs_min=FLOAT_OFF_MIN,
            first_tide=tide,
            planned=local(ramp.floats_at).date() if ramp.floats_at else None,
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
