"""The example yard's tide by its own events: high range, springs early and late in the day, neaps near noon.

When springs and neaps fall is taken from the moon as astral computes it, a library that knows nothing of tides.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from astral import moon

from yard.services.example_yard.description import read_description
from yard.services.example_yard.fleet import DEEPEST_M
from yard.tides import Offsets, TideEvent, TideSource, open_source
from yard.tides.stations import ReferenceStation, station

APRIL, AUGUST = datetime(2027, 4, 1, tzinfo=UTC), datetime(2027, 8, 1, tzinfo=UTC)
AGE_OF_TIDE = timedelta(days=2)
"""Springs follow new and full moon by the phase lags of S2 and M2 over their difference in speed: here 45 h."""


@pytest.fixture(scope="module")
def yard():
    return read_description().yard.yard


@pytest.fixture(scope="module")
def ramp(yard) -> TideSource:
    return open_source(yard.tide_station).shifted(Offsets(time_min=yard.ramp_time_min))


def local_highs(tide: TideSource, yard, day: date) -> list[float]:
    """Hours of the day, local, of the high waters of a day."""
    zone = ZoneInfo(yard.time_zone)
    midnight = datetime(day.year, day.month, day.day, tzinfo=zone)
    events = tide.events(midnight, midnight + timedelta(days=1))
    times = [event.at.astimezone(zone) for event in events if event.kind == "high"]
    return [at.hour + at.minute / 60 for at in times]


def days_after(phases: tuple[float, float]) -> list[date]:
    """Days of May two days after the moon passed one of these phases; astral counts 28 to a round."""
    days = [date(2027, 5, 1) + timedelta(days=step) for step in range(31)]
    found = []
    for day, following in pairwise(days):
        for phase in phases:
            before, after = (moon.phase(day) - phase) % 28, (moon.phase(following) - phase) % 28
            if before > 14 > after:
                found.append(following + AGE_OF_TIDE)
    return [day for day in found if day.month == 5]


def test_the_age_of_the_tide_is_two_days(yard):
    """(g S2 - g M2) / (30.0000 - 28.9841 degrees an hour), phase lags as NOAA publishes them for the station."""
    found = station(yard.tide_station)
    assert isinstance(found, ReferenceStation)
    lag = {name: phase for name, _, phase in found.harmonics}
    assert (lag["S2"] - lag["M2"]) / (30.0 - 28.9841042) == pytest.approx(45.4, abs=1.0)


def test_the_range_is_well_above_two_metres(ramp):
    events = ramp.events(APRIL, AUGUST)
    ranges = [abs(one.height_m - two.height_m) for one, two in pairwise(events)]
    assert sum(ranges) / len(ranges) > 2.3


def test_springs_are_early_and_late(ramp, yard):
    springs = days_after((0, 14))
    assert springs
    for day in springs:
        early, late = local_highs(ramp, yard, day)
        assert 4.0 <= early <= 6.0, day
        assert 16.75 <= late <= 18.5, day


def test_neaps_are_near_noon(ramp, yard):
    neaps = days_after((7, 21))
    assert neaps
    for day in neaps:
        assert any(10.5 <= hour <= 13.0 for hour in local_highs(ramp, yard, day)), day


def light_highs(ramp: TideSource, yard) -> list[TideEvent]:
    """High waters of April to July between six and six."""
    zone = ZoneInfo(yard.time_zone)
    return [
        event
        for event in ramp.events(APRIL, AUGUST)
        if event.kind == "high" and 6 <= event.at.astimezone(zone).hour < 18
    ]


def needed_m(yard, draft_m: float) -> float:
    """What a rising tide must reach: toe, trailer, draft and the yard's foot of margin (YardSettings' default)."""
    return yard.ramp_toe_m_above_datum + yard.trailer_height_m + draft_m + 0.3048


def test_the_deepest_boat_misses_neaps_and_a_middling_one_does_not(ramp, yard):
    highs = light_highs(ramp, yard)
    deep = [event for event in highs if event.height_m >= needed_m(yard, DEEPEST_M)]
    middling = [event for event in highs if event.height_m >= needed_m(yard, 1.3)]
    assert 0.2 < len(deep) / len(highs) < 0.7
    assert len(middling) == len(highs)
    gaps = [later.at - earlier.at for earlier, later in pairwise(deep)]
    assert timedelta(days=4) < max(gaps) < timedelta(days=16)  # a neap missed is a slip of days, up to two weeks
