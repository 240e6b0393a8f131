"""Predictions against NOAA's own: times within 1 min, heights 2 mm, hourly heights 4 mm."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from tests.reference import tides_noaa_predictions as noaa
from yard.tides import TideEvent, open_source
from yard.tides.source import seconds_of
from yard.tides.stations import ReferenceStation, station

MINUTE = timedelta(minutes=1)
MILLIMETRE = 0.001
FOOT_M = 0.3048


def gmt(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def assert_same_waters(found: list[TideEvent], expected: list[noaa.Event], unit_m: float) -> None:
    """Each water of the table is found, in order, and none beside them."""
    assert [event.kind[0].upper() for event in found] == [kind for _, _, kind in expected]
    assert max(abs(event.at - gmt(at)) for event, (at, _, _) in zip(found, expected, strict=True)) <= MINUTE
    errors_m = [abs(event.height_m - height * unit_m) for event, (_, height, _) in zip(found, expected, strict=True)]
    assert max(errors_m) <= 2 * MILLIMETRE


@pytest.mark.parametrize("station_id", noaa.HIGH_AND_LOW)
def test_high_and_low_waters_of_a_week(station_id: str) -> None:
    found = open_source(station_id).events(gmt("2026-08-15"), gmt("2026-08-22"))
    assert_same_waters(found, noaa.HIGH_AND_LOW[station_id], 1.0)


@pytest.mark.parametrize("station_id", noaa.HOURLY)
def test_hourly_heights_of_a_week(station_id: str) -> None:
    times = seconds_of(gmt("2026-08-15")) + 3600.0 * np.arange(168)
    errors_m = np.abs(open_source(station_id).heights_m(times) - noaa.HOURLY[station_id])
    assert errors_m.max() <= 4 * MILLIMETRE


def test_high_and_low_waters_across_new_year() -> None:
    """1 January changes the node factors; 62 waters in 16 days."""
    first, last = gmt(noaa.NEW_YEAR_FT[0][0]), gmt(noaa.NEW_YEAR_FT[-1][0])
    found = open_source(noaa.NEW_YEAR_STATION).events(first - 30 * MINUTE, last + 30 * MINUTE)
    assert_same_waters(found, noaa.NEW_YEAR_FT, FOOT_M)


def test_high_and_low_waters_of_a_subordinate_station() -> None:
    first, last = gmt(noaa.SUBORDINATE_FT[0][0]), gmt(noaa.SUBORDINATE_FT[-1][0])
    found = open_source(noaa.SUBORDINATE_STATION).events(first - 30 * MINUTE, last + 30 * MINUTE)
    assert_same_waters(found, noaa.SUBORDINATE_FT, FOOT_M)


@pytest.mark.parametrize("station_id", noaa.CONSTANTS)
def test_station_file_is_of_the_vintage_of_the_predictions(station_id: str) -> None:
    """Constants of one vintage with predictions of another differ by up to 7.5 cm and 9 min (Seattle)."""
    found = station(station_id)
    assert isinstance(found, ReferenceStation)
    constants = {name: (amplitude, phase) for name, amplitude, phase in found.harmonics if amplitude}
    assert constants == noaa.CONSTANTS[station_id]
    assert found.mean_level_m == noaa.MEAN_SEA_LEVEL_M[station_id]
