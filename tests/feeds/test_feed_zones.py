"""VTIMEZONE against the machine's own zone table, read by a reader that is not ours (dateutil)."""

from __future__ import annotations

import warnings
from datetime import UTC, date, datetime, timedelta
from io import StringIO
from zoneinfo import ZoneInfo

import pytest
from dateutil.tz import tzical

from yard.feeds.zone import timezone_of

BY_RULE = ["America/New_York", "America/St_Johns", "Europe/London", "Europe/Dublin", "Australia/Sydney", "Europe/Oslo"]
STANDING = ["UTC", "Asia/Kolkata", "America/Phoenix", "Etc/GMT+5"]
HALF_DAY = timedelta(hours=12)
WITHOUT_A_RULE = ["Africa/Casablanca"]
"""Its clock follows Ramadan, so no yearly rule describes it."""


def text(zone: str, first: int = 2026, last: int = 2028) -> str:
    return timezone_of(zone, first, last).to_ical().decode()


@pytest.mark.parametrize("zone", [*BY_RULE, *STANDING, *WITHOUT_A_RULE])
def test_point_08_right_through_three_years(zone: str) -> None:
    """Every half-hour within a day and a half of a change, and else each 5 h 30 min, which meets every half-hour.

    Local times that come twice, or not at all, are left out: events there are written in UTC, or do not exist.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        read = tzical(StringIO(text(zone))).get(zone)
    where, at = ZoneInfo(zone), datetime(2026, 1, 1, tzinfo=UTC)
    wrong = []
    while at < datetime(2029, 1, 1, tzinfo=UTC):
        local = at.astimezone(where)
        if local.utcoffset() == local.replace(fold=1 - local.fold).utcoffset():
            told = local.replace(tzinfo=None, fold=0).replace(tzinfo=read)
            if told.utcoffset() != local.utcoffset():
                wrong.append((at, told.utcoffset(), local.utcoffset()))
        changes = (at - 3 * HALF_DAY).astimezone(where).utcoffset() != (at + 3 * HALF_DAY).astimezone(where).utcoffset()
        at += timedelta(minutes=30) if changes else timedelta(hours=5, minutes=30)
    assert wrong == []


@pytest.mark.parametrize("zone", BY_RULE)
def test_point_08_a_rule_outlives_every_event(zone: str) -> None:
    written = text(zone)
    assert written.count("RRULE:FREQ=YEARLY") == 2
    assert "UNTIL" not in written
    assert "RDATE" not in written


def test_point_08_without_a_rule_each_change_stands_by_itself_beyond_the_last_event() -> None:
    written = text("Africa/Casablanca", 2027, 2027)
    assert "RRULE" not in written
    assert "RDATE" not in written
    years = {int(line[8:12]) for line in written.splitlines() if line.startswith("DTSTART:")}
    assert {2027, 2032} <= years


def test_the_text_stays_the_same_from_year_to_year() -> None:
    """Else every calendar would be new to its readers each January."""
    assert text("America/New_York", 2026, 2027) == text("America/New_York", 2030, 2031)


def test_the_last_sunday_is_called_the_last() -> None:
    """Directive 2000/84/EC: last Sunday of March and of October. In 2026 both are the last and not the fourth."""
    assert "BYDAY=-1SU;BYMONTH=3" in text("Europe/London")
    assert "BYDAY=-1SU;BYMONTH=10" in text("Europe/London")


def test_a_clock_that_never_changes_is_one_standard() -> None:
    written = text("Asia/Kolkata")
    assert written.count("BEGIN:STANDARD") == 1
    assert "DAYLIGHT" not in written
    assert "TZOFFSETTO:+0530" in written


def test_the_year_2040_still_reads_right_in_new_york() -> None:
    """First Sunday of July 2040: summer time, four hours behind."""
    read = tzical(StringIO(text("America/New_York"))).get("America/New_York")
    assert datetime.combine(date(2040, 7, 1), datetime.min.time(), read).utcoffset() == timedelta(hours=-4)
