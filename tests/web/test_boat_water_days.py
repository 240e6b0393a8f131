"""Her water by windows and turns of the tide, against the heights of every minute, and the days that are shown."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from tests.web.made_creek import THURSDAY, make_creek
from yard.models import YardSettings
from yard.queries.launches import shut_and_open
from yard.services.read_problem import WaterLevel
from yard.tides.opening import open_station
from yard.tides.source import TideSource
from yard.web.boats.water_days import (
    DAYS_AFTER,
    FEWEST_DAYS,
    MOST_DAYS,
    shown_days,
    stretches_afloat,
    water_days,
)
from yard.web.days.water import ROUNDING_M, heights_at, heights_of_stretches, instants_of, runs_of, spare_m, tide_of
from yard.web.units import at_minute

TODAY = date(2027, 5, 6)
days_off = st.one_of(st.none(), st.integers(-30, 200).map(lambda days: TODAY + timedelta(days=days)))


@given(ready=days_off, floats=days_off)
def test_her_planned_day_is_shown_and_no_day_gone_by(ready, floats):
    first, count = shown_days(TODAY, ready, floats)
    assert first >= TODAY
    assert FEWEST_DAYS <= count <= MOST_DAYS
    if floats is not None and floats >= TODAY:
        assert first <= floats < first + timedelta(days=count - DAYS_AFTER)


@pytest.fixture
def creek(db, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with timezone.override("America/New_York"):
        yield make_creek(tmp_path)


def by_the_minute(source: TideSource, yard: YardSettings, day: date, rising_m: float) -> list[tuple[int, int]]:
    """First and last whole minute of each stretch: the water of every minute, less the margin for that minute."""
    heights = heights_at(source, day, range(-1, 1442))
    enough = (spare_m(heights, yard) >= rising_m - yard.margin_rising_m - ROUNDING_M)[1:-1]
    return [run for run in runs_of(enough) if run[1] > run[0]]


@pytest.mark.parametrize("margins", [(0.3, 0.3), (0.2, 0.5), (0.5, 0.2)])
@pytest.mark.parametrize("rising_m", [1.0, 1.9, 2.25, 3.2])
def test_windows_are_the_minutes_that_have_water(creek, margins, rising_m):
    creek.margin_rising_m, creek.margin_falling_m = margins
    level = WaterLevel("ramp", rising_m, rising_m - margins[0] + margins[1])
    source, shut = tide_of(creek), shut_and_open(at_minute(THURSDAY, 0), at_minute(THURSDAY, 20 * 1440))
    for found in water_days(THURSDAY, 14, source, creek, shut, level):
        if found.shut:
            continue
        wanted = by_the_minute(source, creek, found.day, rising_m)
        got = [(each.starts_min, each.ends_min) for each in found.windows]
        assert len(got) == len(wanted), found.day
        assert np.abs(np.array(got) - np.array(wanted)).max(initial=0) <= 1, found.day  # a minute at a turn


def test_the_made_tide_gives_its_known_water(creek):
    """High 3 m at 12:00, half a cosine to 0 m at 06:00 and 18:00: 2.25 m is passed at 10:00 and 14:00 (arccos 1/2)."""
    source, shut = tide_of(creek), shut_and_open(at_minute(THURSDAY, 0), at_minute(THURSDAY, 1440))
    [day] = water_days(THURSDAY, 1, source, creek, shut, WaterLevel("ramp", 2.25, 2.25))
    assert [(each.starts_min, each.ends_min) for each in day.windows] == [(600, 840)]
    assert (day.minutes, day.highest_m) == (240, pytest.approx(3.0))


def test_without_working_hours_there_is_no_highest_and_no_minute(creek):
    sunday = date(2027, 5, 9)
    source, shut = tide_of(creek), shut_and_open(at_minute(sunday, 0), at_minute(sunday, 1440))
    [day] = water_days(sunday, 1, source, creek, shut, WaterLevel("ramp", 2.25, 2.25))
    assert (day.shut, day.highest_m, day.minutes, day.windows) == ("Sun, closed", None, 0, ())


def test_stretches_of_a_real_station_keep_its_heights():
    """NOAA's Battery, 8518750: inside each stretch the water stands at the level, outside it does not."""
    source = open_station("8518750")
    starts, ends = at_minute(THURSDAY, 0), at_minute(THURSDAY, 5 * 1440)
    level = WaterLevel("ramp", 1.0, 1.2)
    events = source.events(starts, ends)
    afloat = stretches_afloat(source, events, level, starts, ends)
    seconds = np.arange(starts.timestamp() + 30, ends.timestamp(), 60.0)
    heights, later = source.heights_m(seconds), source.heights_m(seconds + 1)
    needs = np.where(later >= heights, level.rising_m, level.falling_m) - ROUNDING_M
    inside = np.zeros(len(seconds), dtype=bool)
    for one, two in afloat:
        inside |= (seconds >= one.timestamp()) & (seconds < two.timestamp())
    assert inside.any()
    differ = np.flatnonzero(inside != (heights >= needs))
    turns = np.array([event.at.timestamp() for event in events])
    assert all(np.abs(turns - seconds[at]).min() < 60 for at in differ)  # only within the minute of a turn


@pytest.mark.parametrize("day", [date(2027, 5, 6), date(2027, 3, 14), date(2027, 11, 7)])
def test_minutes_at_once_are_the_instants_of_one_by_one(day):
    """On an ordinary day, and on those on which New York puts its clocks forward and back."""
    with timezone.override("America/New_York"):
        for minutes in (range(-60, 1501), range(0, 90), range(100, 200), (1440, 0, 121), ()):
            one_by_one = [at_minute(day, minute).timestamp() for minute in minutes]
            assert instants_of(day, minutes).tolist() == one_by_one


def test_stretches_read_at_once_have_the_heights_of_each_by_itself(creek):
    source = tide_of(creek)
    asked = [(TODAY + timedelta(days=n), range(700 + 50 * n, 1100 + 50 * n)) for n in (0, 1, 9)]
    read = heights_of_stretches(source, [instants_of(day, minutes) for day, minutes in asked])
    for heights, (day, minutes) in zip(read, asked, strict=True):
        assert np.abs(heights - heights_at(source, day, minutes)).max() < 1e-8
    assert heights_of_stretches(source, []) == []
