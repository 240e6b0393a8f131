"""Tide sources that several tests share."""

from datetime import UTC, datetime, timedelta
from functools import cache

import numpy as np

from yard.tides import Offsets, TideSource, open_source
from yard.tides.source import seconds_of
from yard.tides.sources import HarmonicSource, TableSource

PORTLAND = "8418150"  # two tides a day, Maine
GALVESTON = "8771450"  # now one, now two tides a day, small, Texas
EDGARTOWN = "8448558"  # many tiny double tides, Massachusetts
MEADOW_POINT = "9447265"  # subordinate to Seattle, ratios
PUKOO = "1613155"  # subordinate to Kahului, fixed metres; high 63 min and low 48 min earlier
NEW_YEAR = datetime(2027, 1, 1, tzinfo=UTC)
TABLE_BEGINS = datetime(2026, 12, 20, tzinfo=UTC)
TABLE_ENDS = datetime(2027, 1, 15, tzinfo=UTC)

KINDS = ["two a day", "one a day", "double", "ratios", "fixed", "table", "shifted"]


@cache
def source_of(kind: str) -> TideSource:
    """One source of each kind; all of them cover TABLE_BEGINS to TABLE_ENDS."""
    match kind:
        case "table":
            return table_of(PORTLAND)
        case "shifted":
            return open_source(PORTLAND).shifted(Offsets(time_min=25, height_m=0.2, ratio=0.9))
        case _:
            stations = [PORTLAND, GALVESTON, EDGARTOWN, MEADOW_POINT, PUKOO]
            return open_source(dict(zip(KINDS, stations, strict=False))[kind])


def table_of(station_id: str) -> TableSource:
    """A table of a station's own high and low waters over TABLE_BEGINS to TABLE_ENDS."""
    station = open_source(station_id)
    assert isinstance(station, HarmonicSource)
    extremes = station.extremes(seconds_of(TABLE_BEGINS), seconds_of(TABLE_ENDS))
    return TableSource(station.name, station.datum, station.zone, extremes)


def every(step: timedelta, starts_at: datetime, ends_at: datetime) -> np.ndarray:
    """Times in [starts_at, ends_at), evenly spaced, seconds since 1970."""
    return np.arange(seconds_of(starts_at), seconds_of(ends_at), step.total_seconds())
