"""From clock minutes to axis positions and back, over nights, days off and the nights of the clock change."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.planning.tiny import at, calendar, pos
from yard.planning.problem import QUARTER_MIN, Calendar
from yard.planning.timeline import Timeline

TWO_DAYS = Timeline(calendar())

calendars = st.builds(
    lambda per_day, gaps, first: calendar(
        quarters_per_day=per_day,
        day_starts=tuple(first + day * per_day * QUARTER_MIN + sum(gaps[:day]) for day in range(len(gaps) + 1)),
        weeks=(),
    ),
    per_day=st.integers(1, 62),
    gaps=st.lists(st.integers(0, 5000), max_size=6),
    first=st.integers(-5000, 5000),
)


def new_york_days(first: date, *, offsets_h: tuple[int, ...]) -> Timeline:
    """Days from 08:00 to 18:00 in New York; the zone's offsets to UTC are written out, not looked up."""
    epoch = datetime(first.year, first.month, first.day, tzinfo=UTC)
    starts = tuple(1440 * day + (8 - offset) * 60 for day, offset in enumerate(offsets_h))
    return Timeline(Calendar(epoch=epoch.isoformat(), quarters_per_day=40, day_starts=starts))


# 13 and 14 March 2027: EST (-5), then EDT (-4).  6 and 7 November 2027: EDT (-4), then EST (-5).
SPRING = new_york_days(date(2027, 3, 13), offsets_h=(-5, -4))
AUTUMN = new_york_days(date(2027, 11, 6), offsets_h=(-4, -5))


def test_a_day_and_the_next() -> None:
    assert TWO_DAYS.size == 16
    assert TWO_DAYS.minute_at(0) == at(0, "08:00")
    assert TWO_DAYS.minute_at(pos(0, "09:45")) == at(0, "09:45")
    assert TWO_DAYS.minute_at(8) == at(1, "08:00")


def test_work_that_ends_with_the_day_ends_that_evening() -> None:
    """Position 8 begins on day 1 at 08:00, and what ends at it ended on day 0 at 10:00."""
    assert TWO_DAYS.end_minute(8) == at(0, "10:00")
    assert TWO_DAYS.end_minute(9) == at(1, "08:15")
    assert TWO_DAYS.end_minute(0) == at(0, "08:00")
    assert TWO_DAYS.minute_at(16) == TWO_DAYS.end_minute(16) == at(1, "10:00")


@pytest.mark.parametrize(
    ("clock", "first", "last"),
    [
        (at(0, "07:00"), 0, -1),
        (at(0, "08:00"), 0, 0),
        (at(0, "08:01"), 1, 0),
        (at(0, "08:15"), 1, 1),
        (at(0, "09:50"), 8, 7),
        (at(0, "23:00"), 8, 7),
        (at(1, "08:00"), 8, 8),
        (at(1, "09:46"), 16, 15),
        (at(5, "08:00"), 16, 15),
    ],
)
def test_first_after_and_last_before(clock: int, first: int, last: int) -> None:
    assert TWO_DAYS.first_at_or_after(clock) == first
    assert TWO_DAYS.last_at_or_before(clock) == last


def test_the_day_of_a_minute() -> None:
    minutes = [at(0, "00:00"), at(0, "09:59"), at(0, "10:00"), at(1, "09:59"), at(1, "10:00")]
    assert [TWO_DAYS.day_of_minute(minute) for minute in minutes] == [0, 0, 1, 1, 2]


@pytest.mark.parametrize("minute", [at(0, "08:07"), at(0, "10:00"), at(1, "10:00"), at(0, "07:45")])
def test_no_quarter_begins_then(minute: int) -> None:
    with pytest.raises(ValueError, match="no working quarter begins"):
        TWO_DAYS.position_at(minute)


@given(calendar=calendars, data=st.data())
def test_there_and_back(calendar: Calendar, data: st.DataObject) -> None:
    timeline = Timeline(calendar)
    position = data.draw(st.integers(0, timeline.size - 1))
    minute = timeline.minute_at(position)
    assert timeline.position_at(minute) == position
    assert timeline.first_at_or_after(minute) == timeline.last_at_or_before(minute) == position
    assert timeline.end_minute(position + 1) == minute + QUARTER_MIN
    assert timeline.minute_of(timeline.instant_of(minute)) == minute
    assert timeline.minute_of(timeline.starts_at(position)) == minute
    assert timeline.day_of_minute(minute) == position // timeline.per_day


@given(calendar=calendars, minute=st.integers(-10_000, 50_000))
def test_the_first_after_by_looking_at_each(calendar: Calendar, minute: int) -> None:
    timeline = Timeline(calendar)
    begins = [timeline.minute_at(position) for position in range(timeline.size)]
    assert timeline.first_at_or_after(minute) == sum(value < minute for value in begins)
    assert timeline.last_at_or_before(minute) == sum(value <= minute for value in begins) - 1


def test_wait_over_spring_night() -> None:
    """A coat that ends at 18:00 EST (23:00 UTC) on 13 March has dried 16 h at 11:00 EDT (15:00 UTC): the clock
    shows 17 h, for it went forward."""
    ends = SPRING.end_minute(40)
    dry = ends + 16 * 60
    assert SPRING.instant_of(ends) == datetime(2027, 3, 13, 23, tzinfo=UTC)
    assert SPRING.instant_of(dry) == datetime(2027, 3, 14, 15, tzinfo=UTC)
    assert SPRING.position_at(dry) == 40 + 4 * 3  # 11:00 on the second day, three hours after 08:00


def test_wait_over_autumn_night() -> None:
    """A coat that ends at 18:00 EDT (22:00 UTC) on 6 November has dried 16 h at 09:00 EST (14:00 UTC)."""
    ends = AUTUMN.end_minute(40)
    dry = ends + 16 * 60
    assert AUTUMN.instant_of(ends) == datetime(2027, 11, 6, 22, tzinfo=UTC)
    assert AUTUMN.instant_of(dry) == datetime(2027, 11, 7, 14, tzinfo=UTC)
    assert AUTUMN.position_at(dry) == 40 + 4


@pytest.mark.parametrize(
    ("timeline", "night_h"), [(SPRING, 13), (AUTUMN, 15)], ids=["spring: an hour short", "autumn: an hour long"]
)
def test_the_night_is_as_long_as_it_is(timeline: Timeline, night_h: int) -> None:
    assert timeline.starts_at(40) - timeline.ends_at(40) == timedelta(hours=night_h)


@pytest.mark.parametrize("timeline", [SPRING, AUTUMN], ids=["spring", "autumn"])
def test_the_offsets_written_out_are_the_zones(timeline: Timeline) -> None:
    """Against the time zone database: each day begins at 08:00 and ends at 18:00 in New York."""
    zone = ZoneInfo("America/New_York")
    for day in (0, 1):
        assert timeline.starts_at(40 * day).astimezone(zone).strftime("%H:%M") == "08:00"
        assert timeline.ends_at(40 * (day + 1)).astimezone(zone).strftime("%H:%M") == "18:00"


def test_an_instant_in_another_zone_is_the_same_minute() -> None:
    there = datetime(2027, 5, 3, 4, 15, tzinfo=ZoneInfo("America/New_York"))  # EDT, UTC-4
    assert TWO_DAYS.minute_of(there) == at(0, "08:15")


def test_seconds_are_rounded_down() -> None:
    assert TWO_DAYS.minute_of(datetime(2027, 5, 3, 8, 15, 59, tzinfo=UTC)) == at(0, "08:15")
