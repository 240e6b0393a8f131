"""Extremes and crossings of the harmonic sum against plain sampling, and at the step of New Year."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest

from tests.tides.tide_samples import EDGARTOWN, GALVESTON, NEW_YEAR, PORTLAND, every
from yard.tides import open_source
from yard.tides.constituents import CONSTITUENTS
from yard.tides.harmonic import Constants, HarmonicTide
from yard.tides.roots import extremes_of, nodes_of_span
from yard.tides.source import seconds_of
from yard.tides.sources import HarmonicSource

SECOND = timedelta(seconds=1)


def harmonic(station_id: str) -> HarmonicSource:
    source = open_source(station_id)
    assert isinstance(source, HarmonicSource)
    return source


@pytest.mark.parametrize("station_id", [PORTLAND, GALVESTON, EDGARTOWN])
def test_no_extreme_of_a_year_is_missed(station_id: str) -> None:
    """As many as heights sampled every half minute turn; at a grid of an hour Galveston loses some."""
    source = harmonic(station_id)
    begin, end = datetime(2026, 1, 2, tzinfo=UTC), datetime(2026, 12, 30, tzinfo=UTC)
    heights = source.heights_m(every(30 * SECOND, begin, end))
    rising = np.diff(heights) > 0
    turns = np.count_nonzero(rising[1:] != rising[:-1])
    assert len(extremes_of(nodes_of_span(source.tide, seconds_of(begin), seconds_of(end))).times) == turns


def test_the_step_at_new_year_is_a_crossing_of_levels_inside_it() -> None:
    """Two sets of node factors: a level between both heights is passed at 00:00:00 itself."""
    stations = [harmonic(station_id) for station_id in (PORTLAND, GALVESTON, EDGARTOWN)]
    for source in stations:
        at = seconds_of(NEW_YEAR)
        before, after = source.heights_m(np.array([at - 1e-6, at]))
        assert before != after
        level_m = float(before + after) / 2
        [windows] = source.windows(NEW_YEAR - timedelta(minutes=1), NEW_YEAR + timedelta(minutes=1), [level_m])
        assert NEW_YEAR in [edge for w in windows for edge in (w.starts_at, w.ends_at)]


def test_high_and_low_take_turns_over_every_new_year_of_a_century() -> None:
    source = harmonic(PORTLAND)
    for year in range(1990, 2090, 3):
        new_year = datetime(year, 1, 1, tzinfo=UTC)
        events = source.events(new_year - timedelta(days=2), new_year + timedelta(days=2))
        assert all(e.kind != after.kind for e, after in pairwise(events))
        assert len(events) in (15, 16)


def test_a_turn_that_falls_on_new_year_is_found_once() -> None:
    """A high within seconds of New Year is one event, whether both years' sums turn on their own side or none."""
    source = harmonic(PORTLAND)
    [first, *_] = [e for e in source.events(NEW_YEAR, NEW_YEAR + timedelta(days=1)) if e.kind == "high"]
    around = NEW_YEAR - timedelta(hours=3), NEW_YEAR + timedelta(hours=3)
    own_turns = set()
    for late_s in range(-90, 91, 5):
        moved = _earlier(source, (first.at - NEW_YEAR) / timedelta(hours=1) - late_s / 3600)
        [high] = moved.events(*around)
        assert high.kind == "high"
        assert abs(high.at - NEW_YEAR) < timedelta(minutes=4)
        parts = nodes_of_span(moved.tide, seconds_of(around[0]), seconds_of(around[1]))
        own_turns.add(sum(len(part.extremes.times) for part in parts))
    assert own_turns > {1}  # the hard case was met: 0 or 2 turns of the years' own sums


def _earlier(source: HarmonicSource, hours: float) -> HarmonicSource:
    """The same tide, so many hours earlier: each Greenwich phase lag made smaller by speed x hours."""
    old = source.tide.constants
    speeds = np.array([CONSTITUENTS[row].speed_deg_per_hour for row in old.rows])
    constants = Constants(old.rows, old.amplitudes_m, old.phases_deg - speeds * hours, old.mean_level_m)
    return HarmonicSource(source.name, source.datum, source.zone, HarmonicTide(constants))
