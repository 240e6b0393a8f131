"""What holds for every source of tides, at any level and over any span, New Year included."""

from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.tides.tide_samples import KINDS, NEW_YEAR, every, source_of
from yard.tides import Offsets, TideError, TideSource, TideWindow
from yard.tides.source import seconds_of

SECOND = timedelta(seconds=1)
MILLISECOND = timedelta(milliseconds=1)
# Rounding a window's end to the millisecond moves the water by less than this.
HAIR_M = 1e-6

spans = st.tuples(st.integers(-10 * 1440, 9 * 1440), st.integers(10, 4 * 1440)).map(
    lambda part: (NEW_YEAR + timedelta(minutes=part[0]), NEW_YEAR + timedelta(minutes=part[0] + part[1]))
)
levels = st.floats(-1.0, 4.0)
kinds = st.sampled_from(KINDS)
few = settings(max_examples=60, deadline=None)


def inside(windows: list[TideWindow], times: np.ndarray) -> np.ndarray:
    """Whether each time lies in one of the windows [starts_at, ends_at)."""
    edges = np.array([(seconds_of(w.starts_at), seconds_of(w.ends_at)) for w in windows]).reshape(-1, 2)
    return ((times[:, None] >= edges[:, 0]) & (times[:, None] < edges[:, 1])).any(axis=1)


@few
@given(kinds, spans, levels)
def test_windows_are_where_the_water_stands_at_or_above_the_level(
    kind: str, span: tuple[datetime, datetime], level_m: float
) -> None:
    source = source_of(kind)
    [windows] = source.windows(*span, [level_m])
    times = every(timedelta(minutes=2), *span)
    heights = source.heights_m(times)
    clear = np.abs(heights - level_m) > HAIR_M
    assert (inside(windows, times) == (heights >= level_m))[clear].all()


@few
@given(kinds, spans, levels)
def test_the_water_is_at_the_level_where_a_window_begins_or_ends(
    kind: str, span: tuple[datetime, datetime], level_m: float
) -> None:
    """Exact to the model: within 2 ms of the crossing, whatever the water's speed; New Year's step aside."""
    source = source_of(kind)
    [windows] = source.windows(*span, [level_m])
    edges = [w.starts_at for w in windows if not w.opens_before] + [w.ends_at for w in windows if not w.closes_after]
    times = np.array([seconds_of(at) for at in edges if abs(at - NEW_YEAR) > timedelta(hours=1)])
    before, after = source.heights_m(times - 0.002), source.heights_m(times + 0.002)
    assert ((before - level_m) * (after - level_m) <= HAIR_M * 1e-3).all()


@few
@given(kinds, spans, levels)
def test_above_and_below_share_the_span_between_them(
    kind: str, span: tuple[datetime, datetime], level_m: float
) -> None:
    source = source_of(kind)
    [above], [below] = source.windows(*span, [level_m]), source.windows(*span, [level_m], above=False)
    both = sorted([*above, *below], key=lambda w: w.starts_at)
    assert both[0].starts_at == span[0]
    assert both[-1].ends_at == span[1]
    assert all(w.ends_at == after.starts_at for w, after in pairwise(both))
    assert all((w in above) != (after in above) for w, after in pairwise(both))


@few
@given(kinds, spans, levels)
def test_only_windows_cut_by_the_span_are_flagged(kind: str, span: tuple[datetime, datetime], level_m: float) -> None:
    [windows] = source_of(kind).windows(*span, [level_m])
    assert all(w.opens_before == (w.starts_at == span[0]) for w in windows)
    assert all(w.closes_after == (w.ends_at == span[1]) for w in windows)


@few
@given(kinds, spans)
def test_high_and_low_take_turns(kind: str, span: tuple[datetime, datetime]) -> None:
    events = source_of(kind).events(*span)
    assert all(span[0] <= event.at < span[1] for event in events)
    assert all(e.at < after.at and e.kind != after.kind for e, after in pairwise(events))


@few
@given(kinds, spans)
def test_an_event_does_not_hang_on_the_span_asked_for(kind: str, span: tuple[datetime, datetime]) -> None:
    """What a long span finds inside a short one, the short one finds too."""
    source = source_of(kind)
    wide = source.events(span[0] - timedelta(hours=30), span[1] + timedelta(hours=30))
    narrow = source.events(*span)
    assert [e.kind for e in narrow] == [e.kind for e in wide if span[0] <= e.at < span[1]]
    for event, same in zip(narrow, (e for e in wide if span[0] <= e.at < span[1]), strict=True):
        assert abs(event.at - same.at) <= MILLISECOND


@few
@given(kinds, spans)
def test_heights_at_events_are_the_events_heights(kind: str, span: tuple[datetime, datetime]) -> None:
    source = source_of(kind)
    events = [e for e in source.events(*span) if abs(e.at - NEW_YEAR) > SECOND]
    heights = source.heights_m(np.array([seconds_of(e.at) for e in events]))
    assert np.allclose(heights, [e.height_m for e in events], atol=HAIR_M)


@few
@given(
    st.sampled_from(["two a day", "ratios", "table"]),
    spans,
    levels,
    st.floats(-90, 90),
    st.floats(-1, 1),
    st.floats(0.5, 1.5),
)
def test_a_shifted_source_is_later_scaled_and_higher(
    kind: str, span: tuple[datetime, datetime], level_m: float, time_min: float, height_m: float, ratio: float
) -> None:
    source = source_of(kind)
    shifted = source.shifted(Offsets(time_min, height_m, ratio))
    later = timedelta(minutes=time_min)
    times = every(timedelta(minutes=7), *span)
    expected = source.heights_m(times - later.total_seconds()) * ratio + height_m
    assert np.allclose(shifted.heights_m(times), expected, atol=1e-9)
    at_station = source.events(span[0] - later, span[1] - later)
    assert [(e.at - later, e.kind) for e in shifted.events(*span)] == [(e.at, e.kind) for e in at_station]
    [windows] = shifted.windows(*span, [level_m])
    clear = np.abs(expected - level_m) > HAIR_M
    assert (inside(windows, times) == (expected >= level_m))[clear].all()


@few
@given(spans, st.lists(levels, min_size=1, max_size=6))
def test_many_levels_at_once_are_as_one_by_one(span: tuple[datetime, datetime], levels_m: list[float]) -> None:
    source = source_of("two a day")
    assert source.windows(*span, levels_m) == [source.windows(*span, [level])[0] for level in levels_m]


@pytest.mark.parametrize("kind", KINDS)
def test_evenly_spaced_heights_are_as_single_ones(kind: str) -> None:
    """The fast row across New Year equals the sum done for each time alone."""
    source = source_of(kind)
    times = every(timedelta(minutes=6), NEW_YEAR - timedelta(days=5), NEW_YEAR + timedelta(days=5))
    mixed = np.random.default_rng(1).permutation(times)
    assert np.allclose(source.heights_m(times), source.heights_m(mixed)[np.argsort(mixed)], atol=1e-9)


@pytest.mark.parametrize("kind", KINDS)
def test_a_level_out_of_reach_gives_all_or_nothing(kind: str) -> None:
    span = NEW_YEAR, NEW_YEAR + timedelta(days=3)
    never, always = source_of(kind).windows(*span, [50.0, -50.0])
    assert never == []
    assert always == [TideWindow(*span, opens_before=True, closes_after=True)]


@pytest.mark.parametrize("kind", KINDS)
def test_an_empty_span_holds_nothing(kind: str) -> None:
    source = source_of(kind)
    assert source.events(NEW_YEAR, NEW_YEAR) == []
    assert source.windows(NEW_YEAR, NEW_YEAR, [1.0, 2.0]) == [[], []]
    assert source.windows(NEW_YEAR, NEW_YEAR + timedelta(days=1), []) == []
    assert len(source.heights_m(np.empty(0))) == 0


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_a_tide_source_that_says_what_it_is(kind: str) -> None:
    source = source_of(kind)
    assert isinstance(source, TideSource)
    assert source.datum == "MLLW"
    assert source.method
    assert "read the gauge" in source.warnings[0]


@pytest.mark.parametrize("kind", KINDS)
def test_questions_that_make_no_sense_are_refused(kind: str) -> None:
    source = source_of(kind)
    with pytest.raises(TideError, match="before it starts"):
        source.events(NEW_YEAR, NEW_YEAR - SECOND)
    with pytest.raises(TideError, match="no time zone"):
        source.windows(datetime(2027, 1, 1), NEW_YEAR, [1.0])
    with pytest.raises(TideError, match="finite height"):
        source.windows(NEW_YEAR, NEW_YEAR + SECOND, [float("nan")])
    with pytest.raises(TideError, match="finite seconds"):
        source.heights_m(np.array([np.nan]))


@pytest.mark.parametrize("bad", [{"ratio": 0.0}, {"ratio": -1.0}, {"height_m": float("inf")}, {"time_min": 3000.0}])
def test_offsets_that_cannot_be_are_refused(bad: dict[str, float]) -> None:
    with pytest.raises(TideError):
        Offsets(**bad)
