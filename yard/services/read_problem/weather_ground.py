"""What a yard's weather allowance is computed on: its working day, and when water lets a launch start.

The working day is that of the commonest opening hours, cut at noon, because the climate's chains know mornings and
afternoons. The water is that of two lunations from 1 April at the ramp, for the boat of the median draft.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from statistics import median
from zoneinfo import ZoneInfo

from yard.models import ShopHours, YardSettings
from yard.services.read_problem.water import RAMP, tide_at
from yard.tides.source import TideError, TideWindow
from yard.weather.allowance import QUARTER_MIN, WorkingHours

NOON_MIN = 12 * 60
TWO_LUNATIONS_DAYS = 59
"""29.53 days each: springs and neaps come round twice, and the days repeat."""
FLOAT_OFF_AFTER, FLOAT_OFF_LENGTH = timedelta(minutes=30), timedelta(minutes=30)
"""Of a launch's parts only floating off needs water: the second half hour (fixtures/packages/kinds.toml)."""


@dataclass(frozen=True)
class AllowanceGround:
    """hours: the working day. may_start[day][quarter of working time]: whether a launch may start; empty: unknown.

    level_m: height above datum that the median boat needs at the ramp on a rising tide; None where not known.
    """

    hours: WorkingHours
    may_start: tuple[tuple[bool, ...], ...] = ()
    level_m: float | None = None


def allowance_ground(
    yard: YardSettings, shop: Iterable[ShopHours], drafts_m: Sequence[float], *, year: int
) -> AllowanceGround:
    """The ground of a yard in a year. drafts_m: of its boats, metres. Without tide, ramp or drafts: hours alone."""
    stretches = _usual_day(shop)
    hours = _working_hours(shop, stretches)
    if yard.ramp_toe_m_above_datum is None or not drafts_m or not yard.tide_station:
        return AllowanceGround(hours)
    base = yard.ramp_toe_m_above_datum + (yard.trailer_height_m or 0.0) + median(drafts_m)
    level = base + yard.margin_rising_m
    try:
        return AllowanceGround(hours, _may_start(yard, stretches, level, year), level)
    except TideError:
        return AllowanceGround(hours, (), level)


def _usual_day(shop: Iterable[ShopHours]) -> tuple[tuple[int, int], ...]:
    """The commonest opening hours of a weekday, as minutes of the day; where none are entered 08-12 and 12-17."""
    days: dict[int, list[tuple[int, int]]] = {}
    for row in shop:
        days.setdefault(row.weekday, []).append((_minute(row.starts), _minute(row.ends)))
    if not days:
        return ((8 * 60, NOON_MIN), (NOON_MIN, 17 * 60))
    counted = Counter(tuple(sorted(stretches)) for _, stretches in sorted(days.items()))
    return counted.most_common(1)[0][0]


def _working_hours(shop: Iterable[ShopHours], stretches: Sequence[tuple[int, int]]) -> WorkingHours:
    weekdays = frozenset(row.weekday for row in shop) or WorkingHours().weekdays
    morning = sum(max(0, min(end, NOON_MIN) - start) for start, end in stretches)
    whole = sum(end - start for start, end in stretches)
    return WorkingHours(morning_min=morning, afternoon_min=whole - morning, weekdays=weekdays)


def _may_start(
    yard: YardSettings, stretches: Sequence[tuple[int, int]], level_m: float, year: int
) -> tuple[tuple[bool, ...], ...]:
    """For each day and quarter of working time, whether she floats off in her water half an hour later."""
    zone, first = ZoneInfo(yard.time_zone), date(year, 4, 1)
    days = [first + timedelta(days=step) for step in range(TWO_LUNATIONS_DAYS)]
    begins = datetime.combine(days[0], time(), zone)
    ends = datetime.combine(days[-1] + timedelta(days=2), time(), zone)
    windows = tide_at(yard, RAMP).windows(begins, ends, [level_m])[0]
    quarters = [minute for start, end in stretches for minute in range(start, end, QUARTER_MIN)]
    return tuple(tuple(_floats(windows, _at(day, minute, zone)) for minute in quarters) for day in days)


def _at(day: date, minute: int, zone: ZoneInfo) -> datetime:
    return datetime.combine(day, time(minute // 60, minute % 60), zone).astimezone(UTC)


def _floats(windows: Sequence[TideWindow], start: datetime) -> bool:
    off = start + FLOAT_OFF_AFTER
    return any(window.starts_at <= off and off + FLOAT_OFF_LENGTH <= window.ends_at for window in windows)


def _minute(at: time) -> int:
    return at.hour * 60 + at.minute
