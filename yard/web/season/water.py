"""The water of each day of the board: how high it comes in working hours, and how much boat that floats."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np
from django.core.cache import cache
from django.utils.translation import gettext as _

from yard.models import YardSettings
from yard.queries.season_board import Shutting
from yard.tides.source import TideError, TideSource
from yard.web.days.dates import days_from
from yard.web.days.water import FloatArray, NoTide, best_base_m, light_of, spare_m, springs_and_neaps, tide_of
from yard.web.units import at_minute

KEPT_S = 600
"""A changed tide table is seen after ten minutes at the latest; whatever else the days depend on is in their key."""


@dataclass(frozen=True)
class WaterOnDay:
    """highest_m: in working hours. outside_m: high waters in light before or after them. base_m: the most boat (ramp
    toe, trailer and draft, metres above datum) that has her minutes in working hours. None: no such hours, or no water.
    """

    day: date
    highest_m: float | None
    outside_m: tuple[float, ...]
    base_m: float | None


@dataclass(frozen=True)
class BoardWater:
    days: tuple[WaterOnDay, ...]
    turns: dict[date, str]


def board_water(yard: YardSettings, shut: Shutting, first: date, count: int) -> BoardWater | NoTide:
    """Each day from `first`. About 0.1 s for eight weeks; kept, because the tide does not change with the plan."""
    source = tide_of(yard)
    if isinstance(source, NoTide):
        return source
    facts = [
        *(yard.tide_station, yard.ramp_time_min, yard.ramp_height_m, yard.ramp_ratio, yard.margin_rising_m),
        *(yard.margin_falling_m, yard.latitude, yard.longitude, yard.light_rule, yard.light_margin_min, yard.time_zone),
        *(first, count, sorted(shut.holidays), [(c.starts_at, c.ends_at, c.state) for c in shut.closures]),
        *((row.weekday, row.starts, row.ends) for row in shut.shop),
    ]
    key = f"board-water-{hashlib.sha256(repr(facts).encode()).hexdigest()}"
    found: BoardWater | NoTide | None = cache.get(key)
    if found is None:
        try:
            found = _read(yard, source, shut, first, count)
        except TideError as error:
            found = NoTide(_("The tides of these weeks are not known: {why}").format(why=error))
        cache.set(key, found, KEPT_S)
    return found


def _read(yard: YardSettings, source: TideSource, shut: Shutting, first: date, count: int) -> BoardWater:
    starts, ends = at_minute(first, 0), at_minute(first, count * 1440)
    times = np.arange(starts.timestamp(), ends.timestamp() + 60, 60)
    heights = source.heights_m(times)
    spare = spare_m(heights, yard)
    highs = [(event.at, event.height_m) for event in source.events(starts, ends) if event.kind == "high"]
    days = tuple(_day(yard, shut, day, starts, heights, spare, highs) for day in days_from(first, count))
    return BoardWater(days, springs_and_neaps(source, first, count))


def _day(
    yard: YardSettings,
    shut: Shutting,
    day: date,
    starts: datetime,
    heights: FloatArray,
    spare: FloatArray,
    highs: list[tuple[datetime, float]],
) -> WaterOnDay:
    """heights, spare: one a minute from `starts` on, shape (minutes,)."""
    light = light_of(yard, day)
    lit = (light.works.starts_at, light.works.ends_at) if light.works else (at_minute(day, 0), at_minute(day, 1440))
    if light.known and light.works is None:
        return WaterOnDay(day, None, (), None)
    worked = [_common(lit, stretch) for stretch in work_hours(shut, day)]
    inside = np.zeros(len(heights), dtype=bool)
    for one, two in worked:
        inside[_minute(one, starts) : _minute(two, starts)] = True
    here = slice(_minute(at_minute(day, 0), starts), _minute(at_minute(day, 1440), starts))
    outside = [
        height for at, height in highs if lit[0] <= at < lit[1] and not any(one <= at < two for one, two in worked)
    ]
    at_work = heights[here][inside[here]]
    highest = float(at_work.max()) if len(at_work) else None
    return WaterOnDay(day, highest, tuple(outside), best_base_m(spare[here], inside[here]))


def _minute(at: datetime, starts: datetime) -> int:
    return max(0, int((at - starts).total_seconds() // 60))


def _common(one: tuple[datetime, datetime], two: tuple[datetime, datetime]) -> tuple[datetime, datetime]:
    return max(one[0], two[0]), max(max(one[0], two[0]), min(one[1], two[1]))


def work_hours(shut: Shutting, day: date) -> list[tuple[datetime, datetime]]:
    """The shop's hours of a day, from the first opening to the last closing; none on a day that is shut."""
    if why_shut(shut, day):
        return []
    rows = [row for row in shut.shop if row.weekday == day.weekday()]
    if not rows:
        return [] if shut.shop else [(at_minute(day, 0), at_minute(day, 1440))]
    opens = min(row.starts.hour * 60 + row.starts.minute for row in rows)
    closes = max(row.ends.hour * 60 + row.ends.minute or 1440 for row in rows)
    return [(at_minute(day, opens), at_minute(day, closes))]


def why_shut(shut: Shutting, day: date, *, state: str = "accepted") -> str:
    """The holiday, or the closure that covers the middle of the day's hours; "" where nothing shuts it."""
    if state == "accepted" and day in shut.holidays:
        return shut.holidays[day]
    noon = at_minute(day, 720)
    for closure in shut.closures:
        if closure.state == state and closure.starts_at <= noon < closure.ends_at:
            return closure.reason
    return ""


def days_afloat(water: BoardWater, base_m: float) -> frozenset[date]:
    """The days on which a boat of this base has her minutes of water in working hours."""
    return frozenset(day.day for day in water.days if day.base_m is not None and day.base_m >= base_m)


def rest_weekdays(shut: Shutting) -> frozenset[int]:
    """The weekdays on which the shop never opens; Sunday where no hours are entered."""
    return frozenset(range(7)) - {row.weekday for row in shut.shop} if shut.shop else frozenset({6})


def closed_days(shut: Shutting, first: date, count: int, *, state: str = "accepted") -> list[tuple[date, str]]:
    days = (first + timedelta(days=step) for step in range(count))
    return [(day, words) for day in days if (words := why_shut(shut, day, state=state))]
