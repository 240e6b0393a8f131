"""Which days of water are shown for one boat, and what each of them gives her: from windows and turns of the tide."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise
from math import ceil, floor

import numpy as np
from django.utils.translation import gettext as _

from yard.models import YardSettings
from yard.pictures.shapes import Span
from yard.queries.launches import ShutAndOpen
from yard.services.read_problem import WaterLevel
from yard.tides.source import TideEvent, TideSource, TideWindow
from yard.web.days.ramp_tides import shop_hours, shut_at
from yard.web.days.water import ROUNDING_M, light_of
from yard.web.units import at_minute, clock_minute, minute_on

FEWEST_DAYS, MOST_DAYS, DAYS_BEFORE, DAYS_AFTER = 14, 24, 10, 3
"""Two weeks are shown, or as far as a few days beyond her tide; of a tide months ahead, the days about it."""
Stretch = tuple[datetime, datetime]


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


def shown_days(today: date, ready: date | None, floats: date | None) -> tuple[date, int]:
    """The first day that is shown, never a day gone by, and how many."""
    if floats is None:
        return max(today, ready or today), FEWEST_DAYS
    last = max(floats, today) + timedelta(days=DAYS_AFTER)
    from_day = max(today, min(ready or floats, floats - timedelta(days=DAYS_BEFORE)))
    count = min(max((last - from_day).days + 1, FEWEST_DAYS), MOST_DAYS)
    return max(today, last - timedelta(days=count - 1)), count


def water_days(
    first: date, count: int, source: TideSource, yard: YardSettings, shut: ShutAndOpen, level: WaterLevel
) -> tuple[WaterDay, ...]:
    """The days from `first`. Raises TideError where the tide of these days is not known."""
    days = [first + timedelta(days=step) for step in range(count)]
    starts_at, ends_at = at_minute(days[0], 0), at_minute(days[-1], 1440)
    events = source.events(starts_at, ends_at)
    afloat = [_on_the_clock(each) for each in stretches_afloat(source, events, level, starts_at, ends_at)]
    works = [_working(day, yard, shut) for day in days]
    return tuple(
        _day(day, hours, highest, afloat, shut)
        for day, hours, highest in zip(days, works, _highest(source, events, days, works), strict=True)
    )


def stretches_afloat(
    source: TideSource, events: Sequence[TideEvent], level: WaterLevel, starts_at: datetime, ends_at: datetime
) -> list[Stretch]:
    """When the water is at or above her level, the one for rising water while it rises, the other while it falls.

    events: the turns of the tide in [starts_at, ends_at).
    """
    asked = [level.rising_m - ROUNDING_M, level.falling_m - ROUNDING_M]
    rising, falling = source.windows(starts_at, ends_at, asked)
    if level.rising_m == level.falling_m:
        return [(each.starts_at, each.ends_at) for each in rising]
    turns = [starts_at, *(event.at for event in events), ends_at]
    rises_first = events[0].kind == "high" if events else True
    found: list[Stretch] = []
    for number, (begins, ends) in enumerate(pairwise(turns)):
        rises = (number % 2 == 0) == rises_first
        for one, two in _inside(rising if rises else falling, begins, ends):
            if found and found[-1][1] == one:
                found[-1] = (found[-1][0], two)
            else:
                found.append((one, two))
    return found


def _inside(windows: Sequence[TideWindow], begins: datetime, ends: datetime) -> list[Stretch]:
    cut = [(max(each.starts_at, begins), min(each.ends_at, ends)) for each in windows]
    return [(one, two) for one, two in cut if one < two]


def _highest(
    source: TideSource, events: Sequence[TideEvent], days: Sequence[date], works: Sequence[Span | None]
) -> list[float | None]:
    """Highest water in working hours: at a high water inside them, or at one of their ends."""
    ends = [
        at_minute(day, minute).timestamp()
        for day, hours in zip(days, works, strict=True)
        if hours
        for minute in (hours.starts_min, hours.ends_min)
    ]
    at_ends = iter(source.heights_m(np.array(ends)).tolist() if ends else ())
    turns = [(clock_minute(event.at), event.height_m) for event in events]
    found: list[float | None] = []
    for day, hours in zip(days, works, strict=True):
        if hours is None:
            found.append(None)
            continue
        midnight = day.toordinal() * 1440
        inside = [top for at, top in turns if hours.starts_min <= at - midnight <= hours.ends_min]
        found.append(max([next(at_ends), next(at_ends), *inside]))
    return found


def _day(day: date, works: Span | None, highest_m: float | None, afloat: Sequence[Span], shut: ShutAndOpen) -> WaterDay:
    reason = shut_at(shut, at_minute(day, 12 * 60))
    if reason or works is None:
        return WaterDay(day, reason or _("closed"), None, 0, ())
    windows = _minutes_of(afloat, day)
    inside = [min(each.ends_min, works.ends_min) - max(each.starts_min, works.starts_min) for each in windows]
    return WaterDay(day, "", highest_m, max([0, *inside]), windows)


def _on_the_clock(stretch: Stretch) -> Span:
    """Whole minutes inside it, counted as by `clock_minute`: read off the yard's clock once, for all days."""
    starts_at, ends_at = stretch
    return Span(
        clock_minute(starts_at) + ceil(_beyond_the_minute(starts_at)),
        clock_minute(ends_at) + floor(_beyond_the_minute(ends_at)),
    )


def _minutes_of(afloat: Sequence[Span], day: date) -> tuple[Span, ...]:
    """Minutes of the day's clock inside each stretch of `_on_the_clock`."""
    midnight = day.toordinal() * 1440
    cut = [(max(0, each.starts_min - midnight), min(1440, each.ends_min - midnight)) for each in afloat]
    return tuple(Span(first, last) for first, last in cut if first < last)


def _beyond_the_minute(at: datetime) -> float:
    return (at.second + at.microsecond / 1e6) / 60


def _working(day: date, yard: YardSettings, shut: ShutAndOpen) -> Span | None:
    """Shop hours in working light; None where there are none. Light counts alone where no hours are entered."""
    hours, light = shop_hours(shut, day), light_of(yard, day)
    starts, ends = (hours.starts_min, hours.ends_min) if hours else (0, 1440)
    if light.known:
        if light.works is None:
            return None
        starts = max(starts, minute_on(light.works.starts_at, day))
        ends = min(ends, minute_on(light.works.ends_at, day))
    return Span(starts, ends) if starts < ends else None
