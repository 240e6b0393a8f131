"""Tiny double tides are left out of lists of high and low waters, and of nothing else."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import numpy as np

from tests.tides.tide_samples import EDGARTOWN, every
from yard.tides import open_source
from yard.tides.roots import Extremes, extremes_of, nodes_of_span
from yard.tides.small_tides import LEAST_APART_S, LEAST_DIFFERENCE_M, in_order_of_time, without_tiny_pairs
from yard.tides.source import seconds_of
from yard.tides.sources import HarmonicSource

HOUR = 3600.0
BEGINS, ENDS = datetime(2026, 6, 1, tzinfo=UTC), datetime(2026, 7, 1, tzinfo=UTC)


def waters(*rows: tuple[float, float, bool]) -> Extremes:
    hours, heights, highs = zip(*rows, strict=True)
    return Extremes(HOUR * np.array(hours), np.array(heights), np.array(highs))


def test_the_higher_of_two_neighbouring_highs_stays() -> None:
    found = without_tiny_pairs(
        waters((0, 0.1, False), (5, 1.00, True), (6, 0.99, False), (7, 1.02, True), (13, 0.2, False))
    )
    assert (found.times / HOUR).tolist() == [0, 7, 13]
    assert found.heights_m.tolist() == [0.1, 1.02, 0.2]


def test_a_small_tide_that_takes_its_time_stays() -> None:
    slow = waters((0, 0.10, False), (5, 0.12, True), (10, 0.10, False))
    assert len(without_tiny_pairs(slow).times) == 3


def test_a_quick_tide_that_is_not_small_stays() -> None:
    quick = waters((0, 0.1, False), (1, 0.2, True), (2, 0.1, False))
    assert len(without_tiny_pairs(quick).times) == 3


def test_real_double_tides_go_and_the_rest_take_turns() -> None:
    """Edgartown, where the model has many: the list keeps turns, and no pair left is tiny."""
    source = open_source(EDGARTOWN)
    assert isinstance(source, HarmonicSource)
    all_waters = extremes_of(nodes_of_span(source.tide, seconds_of(BEGINS), seconds_of(ENDS)))
    listed = source.events(BEGINS, ENDS)
    assert len(listed) < len(all_waters.times)
    for event, after in pairwise(listed):
        assert event.kind != after.kind
        small = abs(after.height_m - event.height_m) < LEAST_DIFFERENCE_M
        assert not (small and after.at - event.at < timedelta(seconds=LEAST_APART_S))


def test_windows_keep_what_the_list_leaves_out() -> None:
    """A level between the two heights of a double tide that is not listed is still passed four times."""
    source = open_source(EDGARTOWN)
    assert isinstance(source, HarmonicSource)
    found = extremes_of(nodes_of_span(source.tide, seconds_of(BEGINS), seconds_of(ENDS)))
    quick, small = np.diff(found.times) < LEAST_APART_S, np.abs(np.diff(found.heights_m)) < LEAST_DIFFERENCE_M
    tiny = np.flatnonzero(quick & small)
    first, second = found.heights_m[tiny[0] : tiny[0] + 2]
    level_m = float(first + second) / 2
    [windows] = source.windows(BEGINS, ENDS, [level_m])
    middle = float(found.times[tiny[0] : tiny[0] + 2].mean())
    edges = [seconds_of(at) for w in windows for at in (w.starts_at, w.ends_at)]
    assert sum(abs(edge - middle) < LEAST_APART_S for edge in edges) == 3
    heights = source.heights_m(every(timedelta(minutes=1), BEGINS, ENDS))
    within = [edge for edge in edges if seconds_of(BEGINS) < edge < seconds_of(ENDS)]
    assert np.count_nonzero(np.diff(heights >= level_m)) == len(within)


def test_a_pair_turned_round_by_unequal_offsets_goes() -> None:
    turned = waters((0, 0.1, False), (5, 1.0, True), (4.5, 0.9, False), (7, 1.1, True))
    assert (in_order_of_time(turned).times / HOUR).tolist() == [0, 7]
