from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yard.weather.hourly import Provider
from yard.weather.refresh import Age, age, next_fetch_at

NEW_YORK = ZoneInfo("America/New_York")


def local(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=NEW_YORK)


def fetches(provider: Provider, since: str, count: int, minute: int) -> list[str]:
    """The next fetches, each made when it is due, as local wall clock times."""
    last = local(since).astimezone(UTC)
    times = []
    for _ in range(count):
        last = next_fetch_at(last, last, provider, NEW_YORK, minute=minute)
        times.append(last.astimezone(NEW_YORK).strftime("%d %H:%M"))
    return times


def test_every_three_hours_from_four_to_seven_in_the_evening_and_before_both_calls():
    expected = [
        "14 04:20",
        "14 04:54",
        "14 07:20",
        "14 10:20",
        "14 13:20",
        "14 15:24",
        "14 16:20",
        "14 19:20",
    ]
    assert fetches(Provider.NWS, "2026-04-14T00:00", 9, minute=20) == [*expected, "15 04:20"]


def test_met_norway_is_asked_about_every_six_hours():
    assert fetches(Provider.METNO, "2026-04-14T00:00", 4, minute=37) == [
        "14 04:52",
        "14 10:37",
        "14 15:22",
        "15 04:52",
    ]


@pytest.mark.parametrize(
    ("since", "due_utc"),
    [
        ("2026-03-07T20:00", "2026-03-08T08:20"),  # clocks go forward: 04:20 is UTC-4
        ("2026-10-31T20:00", "2026-11-01T09:20"),  # clocks go back: 04:20 is UTC-5
        ("2026-03-06T20:00", "2026-03-07T09:20"),
    ],
)
def test_the_nights_of_the_clock_change(since, due_utc):
    last = local(since).astimezone(UTC)
    due = next_fetch_at(last, last, Provider.NWS, NEW_YORK, minute=20)
    assert due == datetime.fromisoformat(due_utc).replace(tzinfo=UTC)


def test_a_missed_time_or_none_ever_is_due_now():
    now = local("2026-04-14T09:00").astimezone(UTC)
    assert next_fetch_at(now, None, Provider.NWS, NEW_YORK, minute=20) == now
    missed = local("2026-04-14T05:00")
    assert next_fetch_at(now, missed, Provider.NWS, NEW_YORK, minute=20) == now
    ahead = now + timedelta(days=300)  # the clock was wrong when it was fetched
    assert next_fetch_at(now, ahead, Provider.NWS, NEW_YORK, minute=20) == now


def test_expires_is_obeyed():
    now = local("2026-04-14T09:00").astimezone(UTC)
    expires = now + timedelta(minutes=30)
    assert next_fetch_at(now, None, Provider.METNO, NEW_YORK, minute=0, not_before=expires) == expires


moments = st.datetimes(datetime(2026, 1, 1), datetime(2027, 12, 31), timezones=st.just(UTC))


@given(moments, st.integers(0, 59), st.sampled_from(Provider))
def test_a_fetch_lies_ahead_within_half_a_day_and_the_calls_are_never_missed(now, minute, provider):
    due = next_fetch_at(now, now, provider, NEW_YORK, minute=minute)
    assert now < due <= now + timedelta(hours=14, minutes=10)
    here = now.astimezone(NEW_YORK)
    for hour, half in ((5, 0), (15, 30)):
        call = here.replace(hour=hour, minute=half, second=0, microsecond=0)
        if here < call - timedelta(minutes=15):
            assert due < call


def test_age():
    read_at = datetime(2026, 4, 14, 6, tzinfo=UTC)
    ages = [age(read_at, read_at + timedelta(hours=hours)) for hours in (0, 12, 12.1, 36, 36.1)]
    assert ages == [Age.FRESH, Age.FRESH, Age.OLD, Age.OLD, Age.TOO_OLD]


def test_a_time_without_zone_and_a_minute_past_the_hour_are_refused():
    now = datetime(2026, 4, 14, 6, tzinfo=UTC)
    with pytest.raises(ValueError, match="has no zone"):
        next_fetch_at(datetime(2026, 4, 14, 6), None, Provider.NWS, NEW_YORK, minute=0)
    with pytest.raises(ValueError, match="0 to 59"):
        next_fetch_at(now, None, Provider.NWS, NEW_YORK, minute=60)
