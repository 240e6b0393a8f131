"""The high waters of three weeks: the water, the light and the shop's hours about each, and why it may be shut."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cached_property

import numpy as np
from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import YardSettings
from yard.pictures.launch_list_input import Light
from yard.pictures.shapes import Span
from yard.queries.launches import Berths, ShutAndOpen
from yard.tides.gauge import GOOD_FOR
from yard.tides.source import TideEvent, TideSource
from yard.web.days.gauge import GaugeNow, moved_heights
from yard.web.days.ramp_work import RampWork
from yard.web.days.water import (
    ROUNDING_M,
    BoolArray,
    DayLight,
    FloatArray,
    best_base_m,
    heights_of_stretches,
    instants_of,
    light_of,
    runs_of,
    spare_m,
)
from yard.web.units import at_minute, local, minute_on

DAYS_READ = 21
"""Two weeks are shown; a reserve tide may lie a week beyond them."""
HALF_TIDE_MIN = 370
"""From a high water to about the low waters beside it."""


@dataclass(frozen=True)
class Tide:
    """A high water. minutes: of the tide's own day, one by one; heights and spare height in metres, shape (minutes,).

    lit: the minutes in working light; manned: those of them in shop hours. Both of shape (minutes,).
    manned_base_m: the highest base that floats off while people are there, None where none does: asked for each boat
    that might take this tide, and found once.
    """

    event: TideEvent
    day: date
    high_min: int
    light: Light
    minutes: range
    heights: FloatArray
    spare: FloatArray
    lit: BoolArray
    manned: BoolArray
    shut: str

    @cached_property
    def manned_base_m(self) -> float | None:
        return best_base_m(self.spare, self.manned)


@dataclass(frozen=True)
class Yardful:
    """What the list is made of: the yard, its tide at the ramp, the work on it, berths, and what is shut.

    gauge: what the gauge says against the prediction, where a reading still holds; it moves the windows of its hours.
    """

    yard: YardSettings
    source: TideSource
    work: tuple[RampWork, ...]
    berths: Berths
    open: ShutAndOpen
    gauge: GaugeNow | None = None


def read_tides(yardful: Yardful, first: date) -> list[Tide]:
    """Every high water of DAYS_READ days, in order of time; all heights in one reading."""
    last = first + timedelta(days=DAYS_READ)
    highs = [e for e in yardful.source.events(at_minute(first, 0), at_minute(last, 0)) if e.kind == "high"]
    lights = {first + timedelta(days=n): light_of(yardful.yard, first + timedelta(days=n)) for n in range(DAYS_READ)}
    abouts = []
    for event in highs:
        day = local(event.at).date()
        high_min = minute_on(event.at, day)
        abouts.append((event, day, high_min, range(high_min - HALF_TIDE_MIN, high_min + HALF_TIDE_MIN + 1)))
    read = heights_of_stretches(yardful.source, [instants_of(day, minutes) for _event, day, _high, minutes in abouts])
    found = []
    for (event, day, high_min, minutes), predicted in zip(abouts, read, strict=True):
        heights = _moved(yardful, event, day, minutes, predicted)
        light = lights[day]
        lit = _lit(light, day, minutes)
        manned = lit & _in_shop_hours(yardful.open, day, minutes)
        shut = shut_at(yardful.open, event.at)
        found.append(
            Tide(
                event,
                day,
                high_min,
                light.at(event.at),
                minutes,
                heights,
                spare_m(heights, yardful.yard),
                lit,
                manned,
                shut,
            )
        )
    return found


def _moved(yardful: Yardful, event: TideEvent, day: date, minutes: range, heights: FloatArray) -> FloatArray:
    """By what the gauge says, where that holds. heights: as predicted."""
    gauge = yardful.gauge
    if gauge is None or abs(event.at - gauge.row.at) > GOOD_FOR + timedelta(minutes=HALF_TIDE_MIN):
        return heights
    return moved_heights(heights, minutes, day, gauge)


def shut_at(told: ShutAndOpen, at: datetime) -> str:
    """Why nobody launches at that moment, "" if somebody may."""
    day = local(at).date()
    for closure in told.closures:
        if closure.starts_at <= at < closure.ends_at:
            return closure.reason
    if day in told.holidays:
        return _("{day}, closed").format(day=told.holidays[day])
    if told.shop and not any(row.weekday == day.weekday() for row in told.shop):
        return _("{day}, closed").format(day=said(day, "D"))
    return ""


def her_water(tide: Tide, base_m: float) -> Span | None:
    """The longest stretch about this high water with water for a base; None where there is none."""
    runs = runs_of(tide.spare >= base_m - ROUNDING_M)
    if not runs:
        return None
    first, last = max(runs, key=lambda run: run[1] - run[0])
    return Span(tide.minutes[first], tide.minutes[last])


def shop_hours(told: ShutAndOpen, day: date) -> Span | None:
    """From the first opening to the last closing of that day; None where no hours are entered for it."""
    rows = [row for row in told.shop if row.weekday == day.weekday()]
    if not rows:
        return None
    return Span(min(_minute(row.starts) for row in rows), max(_minute(row.ends) or 1440 for row in rows))


def _lit(light: DayLight, day: date, minutes: range) -> BoolArray:
    if not light.known:
        return np.ones(len(minutes), dtype=bool)
    works = light.works
    starts, ends = (minute_on(works.starts_at, day), minute_on(works.ends_at, day)) if works else (0, 0)
    return _between(minutes, starts, ends)


def _in_shop_hours(told: ShutAndOpen, day: date, minutes: range) -> BoolArray:
    """Everything where the yard has entered no hours at all; nothing on a day that has none."""
    hours = shop_hours(told, day)
    if hours is None:
        return np.full(len(minutes), not told.shop)
    return _between(minutes, hours.starts_min, hours.ends_min)


def _between(minutes: range, starts: int, ends: int) -> BoolArray:
    """Which of them are in [starts, ends)."""
    each = np.arange(minutes.start, minutes.stop)
    return (each >= starts) & (each < ends)


def _minute(at: time) -> int:
    return at.hour * 60 + at.minute
