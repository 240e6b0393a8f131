"""Emptying a store: published stacks, and every small one beside a search that shares nothing with ours."""

from __future__ import annotations

from collections import deque

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.stowing.small_stores import stacks
from yard.stowing.check import WrongStep, count_extra_moves
from yard.stowing.emptying import badly_placed, empty, fewest, ranks_of
from yard.stowing.values import Emptied, Step, StowPlan, Stuck, launch_order

# Petering and Hussein, A new mixed integer program and extended look-ahead heuristic algorithm for the block relocation
# problem, EJOR 231 (2013), figure 2, as given in the public repository TiloW/viola-lan (main.rb): nine blocks, and so
# many moves in all: LA-1 16, LA-2 15 without a limit of height; LA-2 17 with five tiers. LA-1 moves only what is in the
# way, LA-2 others too. A move in all is a retrieval or a relocation, and nine are retrievals.
FIGURE_2 = ([6, 7, 9], [1, 3, 4], [2, 8, 5])
LA_1_RELOCATIONS, LA_2_RELOCATIONS = 16 - 9, 15 - 9

# A worked example from memory, as lectures give it: 1 at the bottom of three, two empty stacks beside it.
BURIED = ([1, 3, 2], [], [])


def least_by_breadth(rows: tuple[tuple[int, ...], ...], most: int) -> int:
    """Relocations that any sequence needs, also one that moves boats not in the way: breadth first over all states."""
    states = deque([(tuple(rows), 0)])
    seen = {tuple(rows)}
    while states:
        state, count = states.popleft()
        while any(state):
            turn = min(boat for row in state for boat in row)
            home = next(n for n, row in enumerate(state) if turn in row)
            if state[home][-1] != turn:
                break
            state = tuple(row[:-1] if n == home else row for n, row in enumerate(state))
        if not any(state):
            return count
        for a, row in enumerate(state):
            for b, other in enumerate(state):
                if a != b and row and len(other) < most:
                    after = list(state)
                    after[a], after[b] = row[:-1], (*other, row[-1])
                    if (new := tuple(after)) not in seen:
                        seen.add(new)
                        states.append((new, count + 1))
    return 1 << 30


def test_the_published_stacks() -> None:
    store, layout = stacks(*FIGURE_2)
    order = launch_order(store.boats)
    found = fewest(store, layout, order)
    assert isinstance(found, Emptied)
    assert found.proved
    assert badly_placed(layout, ranks_of(order)) <= LA_2_RELOCATIONS <= found.extra <= LA_1_RELOCATIONS
    assert count_extra_moves(store, StowPlan(layout, {}), order, found.steps) == found.extra


def test_what_stands_in_the_way_goes_where_it_is_in_nobody_s_way() -> None:
    store, layout = stacks(*BURIED)
    found = empty(store, layout, launch_order(store.boats))
    assert isinstance(found, Emptied)
    assert (found.extra, found.proved) == (2, True)


def test_the_apron_sorts_them_anew() -> None:
    """One row: 4 and 3 stand before 1 in the wrong order. Without an apron nothing works, with one it takes two."""
    store, layout = stacks([1, 3, 4], aside=0)
    assert fewest(store, layout, launch_order(store.boats)) == Stuck(0)
    store, layout = stacks([1, 3, 4], aside=2)
    found = fewest(store, layout, launch_order(store.boats))
    assert isinstance(found, Emptied)
    assert found.extra == 2
    assert [step.do for step in found.steps] == ["out", "out", "leave", "in", "in", "leave", "leave"]


turns = st.integers(3, 6).flatmap(lambda n: st.permutations(range(1, n + 1)))


@st.composite
def stacked(draw: st.DrawFn) -> list[list[int]]:
    rows: list[list[int]] = [[] for _ in range(draw(st.integers(2, 3)))]
    for turn in draw(turns):
        rows[draw(st.integers(0, len(rows) - 1))].append(turn)
    return rows


@settings(max_examples=60, deadline=None)
@given(stacked(), st.integers(0, 2))
def test_every_step_can_be_done_and_no_sequence_is_shorter_than_the_bound(rows: list[list[int]], aside: int) -> None:
    store, layout = stacks(*rows, aside=aside)
    order = launch_order(store.boats)
    thumb, best = empty(store, layout, order), fewest(store, layout, order)
    bound = badly_placed(layout, ranks_of(order))
    for found in (thumb, best):
        if isinstance(found, Emptied):
            assert count_extra_moves(store, StowPlan(layout, {}), order, found.steps) == found.extra >= bound
    if isinstance(thumb, Emptied):
        assert isinstance(best, Emptied)
        assert best.extra <= thumb.extra


@settings(max_examples=40, deadline=None)
@given(stacked())
def test_beside_breadth_first(rows: list[list[int]]) -> None:
    """Any sequence at all, then ours that moves only who is in the way: never fewer, and the bound below both."""
    most = 5
    store, layout = stacks(*rows, most=most)
    order = launch_order(store.boats)
    least = least_by_breadth(tuple(map(tuple, rows)), most)
    assert badly_placed(layout, ranks_of(order)) <= least
    found = fewest(store, layout, order)
    if isinstance(found, Emptied):
        assert found.extra >= least


@settings(max_examples=40, deadline=None)
@given(stacked())
def test_the_fewest_of_all_that_move_only_who_is_in_the_way(rows: list[list[int]]) -> None:
    """Every sequence tried, by recursion on the papers' stacks."""
    store, layout = stacks(*rows)
    found = fewest(store, layout, launch_order(store.boats))
    assert isinstance(found, Emptied)
    assert found.proved
    assert found.extra == _restricted([list(row) for row in rows])


def _restricted(rows: list[list[int]]) -> int:
    if not any(rows):
        return 0
    turn = min(boat for row in rows for boat in row)
    home = next(row for row in rows if turn in row)
    if home[-1] == turn:
        return _restricted([[boat for boat in row if boat != turn] for row in rows])
    best = 1 << 30
    at = rows.index(home)
    for other in range(len(rows)):
        if other != at:
            after = [list(row) for row in rows]
            after[other].append(after[at].pop())
            best = min(best, 1 + _restricted(after))
    return best


@pytest.mark.parametrize(
    ("steps", "says"),
    [
        ([Step("leave", 0, 0)], "not the outermost"),
        ([Step("out", 1, 0), Step("leave", 0, 0)], "the apron holds 0"),
        ([Step("out", 1, 0), Step("in", 1, 1), Step("leave", 0, 0)], "not empty"),
        ([Step("out", 1, 0), Step("in", 1, 1), Step("leave", 1, 1)], "out of turn"),
        ([Step("in", 1, 1)], "not on the apron"),
    ],
)
def test_the_count_says_what_cannot_be_done(steps: list[Step], says: str) -> None:
    store, layout = stacks([1, 2], [])
    with pytest.raises(WrongStep, match=says):
        count_extra_moves(store, StowPlan(layout, {}), (0, 1), steps)


def test_the_count_minds_the_room_of_a_row() -> None:
    store, layout = stacks([1, 2], [3], most=1)
    with pytest.raises(WrongStep, match="does not fit"):
        count_extra_moves(store, StowPlan(layout, {}), (0, 1, 2), [Step("out", 1, 0), Step("in", 1, 1)])
