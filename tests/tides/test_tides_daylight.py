"""Sun and twilight against the Naval Observatory's table, on both nights of the clock change, and near a pole."""

import json
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from yard.tides import TideError
from yard.tides.daylight import Daylight, LightRule, LightWindow, NeverCrosses, daylight, working_light

USNO = json.loads((Path(__file__).parents[1] / "reference" / "tides_sun_usno.json").read_text())
ATLANTA = 33 + 46 / 60, -(84 + 25 / 60)
PORTLAND_ME = 43.66, -70.25
BARROW = 71.29, -156.79
NEW_YORK = "America/New_York"
MINUTE = timedelta(minutes=1)


def at(value: datetime | NeverCrosses) -> datetime:
    assert isinstance(value, datetime)
    return value


def test_730_printed_times_of_a_year() -> None:
    """Within a minute of each; the table is printed to the minute, in Eastern Standard Time all year."""
    assert len(USNO["days"]) == 365
    for day, printed in USNO["days"].items():
        found = daylight(*ATLANTA, date.fromisoformat(day), "Etc/GMT+5")
        for value, clock in zip((found.sunrise, found.sunset), printed, strict=True):
            expected = datetime.fromisoformat(f"{day} {clock[:2]}:{clock[2:]}-05:00")
            assert abs(at(value) - expected) <= MINUTE, (day, clock)


@pytest.mark.parametrize(
    ("before", "after", "hours_of_day", "offsets"),
    [
        (date(2027, 3, 13), date(2027, 3, 14), 23, ("-05:00", "-04:00")),
        (date(2027, 11, 6), date(2027, 11, 7), 25, ("-04:00", "-05:00")),
    ],
)
def test_the_sun_knows_no_clock_change(before: date, after: date, hours_of_day: int, offsets: tuple[str, str]) -> None:
    """Sunrise moves by minutes in UTC, while the clock on the wall moves by the hour; the day is 23 or 25 h."""
    first, second = daylight(*PORTLAND_ME, before, NEW_YORK), daylight(*PORTLAND_ME, after, NEW_YORK)
    for one, other in [(first.sunrise, second.sunrise), (first.sunset, second.sunset)]:
        assert abs(at(other) - at(one) - timedelta(days=1)) < 3 * MINUTE
    assert second.day_starts_at == datetime.fromisoformat(f"{after} 00:00{offsets[0]}")
    assert second.day_ends_at == datetime.fromisoformat(f"{after + timedelta(days=1)} 00:00{offsets[1]}")
    assert second.day_ends_at - second.day_starts_at == timedelta(hours=hours_of_day)


@pytest.mark.parametrize("day", [date(2027, 3, 14), date(2027, 6, 21), date(2027, 11, 7), date(2027, 12, 21)])
def test_dawn_sunrise_sunset_dusk_follow_each_other_within_the_day(day: date) -> None:
    found = daylight(*PORTLAND_ME, day, NEW_YORK)
    times = [at(t) for t in (found.civil_dawn, found.sunrise, found.sunset, found.civil_dusk)]
    assert [found.day_starts_at, *times, found.day_ends_at] == sorted([found.day_starts_at, *times, found.day_ends_at])
    assert all(t.utcoffset() == timedelta(0) for t in times)


def test_a_western_sunset_belongs_to_its_own_day() -> None:
    """Seattle, 21 June: sunset 21:11 PDT (common almanac value) is 04:11 UTC of the 22nd."""
    found = daylight(47.6, -122.33, date(2027, 6, 21), "America/Los_Angeles")
    assert abs(at(found.sunset) - datetime(2027, 6, 22, 4, 11, tzinfo=UTC)) <= 2 * MINUTE


def test_a_sunset_after_midnight_still_belongs_to_its_day() -> None:
    """Fairbanks, 21 June 2027: the sun sets after midnight of the clock, and rises before 03:00."""
    found = daylight(64.84, -147.72, date(2027, 6, 21), "America/Anchorage")
    assert at(found.sunset) > found.day_ends_at
    assert timedelta(hours=21) < at(found.sunset) - at(found.sunrise) < timedelta(hours=22)
    assert found.civil_dusk is NeverCrosses.STAYS_ABOVE


def test_a_place_beyond_the_date_line_has_the_sun_of_its_own_day() -> None:
    """Attu keeps Adak's clock (UTC-10) at 173 east: noon of 21 December is 00:26 UTC of the 22nd.

    By hand: 12:00 - 173.2/15 h = 00:27 UTC, less 2 min equation of time; the day is 7.6 to 8.2 h long there.
    """
    found = daylight(52.9, 173.2, date(2027, 12, 21), "America/Adak")
    noon = datetime(2027, 12, 22, 0, 26, tzinfo=UTC)
    assert abs(at(found.sunrise) + (at(found.sunset) - at(found.sunrise)) / 2 - noon) < 3 * MINUTE
    assert timedelta(hours=7.5) < at(found.sunset) - at(found.sunrise) < timedelta(hours=8.3)


def test_polar_day_and_polar_night_are_named() -> None:
    summer = daylight(*BARROW, date(2027, 6, 21), "America/Anchorage")
    assert {summer.sunrise, summer.sunset, summer.civil_dawn, summer.civil_dusk} == {NeverCrosses.STAYS_ABOVE}
    winter = daylight(*BARROW, date(2027, 12, 21), "America/Anchorage")
    assert (winter.sunrise, winter.sunset) == (NeverCrosses.STAYS_BELOW,) * 2
    assert at(winter.civil_dawn) < at(winter.civil_dusk)
    for pole in (90.0, -90.0):
        assert daylight(pole, 0.0, date(2027, 6, 21), "UTC").sunrise in NeverCrosses


def test_working_light_follows_the_yards_rule() -> None:
    found = daylight(*PORTLAND_ME, date(2027, 5, 4), NEW_YORK)
    plain = working_light(found, LightRule())
    assert plain == LightWindow(at(found.sunrise), at(found.sunset))
    kept = working_light(found, LightRule(civil=True, after_start_min=15, before_end_min=30))
    assert kept == LightWindow(at(found.civil_dawn) + 15 * MINUTE, at(found.civil_dusk) - 30 * MINUTE)


def test_working_light_where_the_sun_stays() -> None:
    summer = daylight(*BARROW, date(2027, 6, 21), "America/Anchorage")
    assert working_light(summer, LightRule()) == LightWindow(summer.day_starts_at, summer.day_ends_at)
    winter = daylight(*BARROW, date(2027, 12, 21), "America/Anchorage")
    assert working_light(winter, LightRule()) is None
    assert working_light(winter, LightRule(civil=True)) is not None


def test_a_rule_that_eats_the_day_leaves_none() -> None:
    found: Daylight = daylight(*PORTLAND_ME, date(2027, 12, 21), NEW_YORK)
    assert working_light(found, LightRule(after_start_min=300, before_end_min=300)) is None


@pytest.mark.parametrize(("latitude", "longitude", "zone"), [(91, 0, "UTC"), (0, 181, "UTC"), (0, 0, "Maine")])
def test_places_that_do_not_exist(latitude: float, longitude: float, zone: str) -> None:
    with pytest.raises(TideError):
        daylight(latitude, longitude, date(2027, 5, 4), zone)
