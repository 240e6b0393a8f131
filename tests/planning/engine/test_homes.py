"""The search near a posted plan: the same on both backends to the bit, priced by hand, and put back at home."""

from __future__ import annotations

import pytest

from tests.planning.engine import made_up
from yard.planning import backend as backends
from yard.planning import engine as e
from yard.planning.improve import Search
from yard.planning.layout import Layout, compile_problem
from yard.planning.listing import list_plan
from yard.planning.plan import Plan, score
from yard.planning.reshuffle.differences import disturbance
from yard.planning.reshuffle.homes import MovePrice, with_homes
from yard.planning.reshuffle.mending import repair
from yard.planning.state import empty_state, load_what_fits, read_plan

PRICE = MovePrice(500, 7)


def near(seed: int, firm: frozenset[int] = frozenset()) -> tuple[Layout, Plan, list[int]]:
    problem = made_up.yard(seed, boats=5)
    posted = list_plan(problem)
    layout = with_homes(compile_problem(problem), posted, firm, PRICE)
    state = empty_state(layout)
    load_what_fits(layout, state, posted)
    return layout, posted, state


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_both_backends_walk_the_same_way_to_the_bit(seed: int) -> None:
    layout, _posted, state = near(seed)
    ends = []
    for name in ("python", "numba"):
        engine = backends.load(name)
        g, s = backends.sequence(name, layout.g), backends.sequence(name, state)
        s[e.RANDOM] = 7
        engine.start_search(g, s)
        for flowing in (0, 1):
            engine.improve(g, s, 60, 4000, flowing)
        ends.append([int(word) for word in s])
    assert ends[0] == ends[1]


def test_a_plan_at_home_pays_for_no_move() -> None:
    layout, posted, state = near(2)
    plain = compile_problem(layout.problem)
    bare = empty_state(plain)
    load_what_fits(plain, bare, posted)
    e.price_all(plain.g, bare)
    e.price_all(layout.g, state)
    assert (state[e.TRUE], state[e.SEARCH]) == (bare[e.TRUE], bare[e.SEARCH])


def test_a_move_costs_its_price_once_for_the_boat_and_once_for_each_job() -> None:
    """A plan of a search that moves for nothing, priced with homes: what it costs, and the moves by hand on top."""
    layout, posted, state = near(3, firm=frozenset({0}))
    free = with_homes(compile_problem(layout.problem), posted, frozenset(), MovePrice(0, 0))
    finder = Search(free, state, seed=5, workers=1, backend="python")
    finder.engine.improve(finder.g, finder.states[0], 200, 600_000, 0)  # free and hot: boats do move
    moved = read_plan(layout, finder.states[0], best=False)
    assert len(moved.placements) == len(layout.problem.jobs)
    e.price_all(layout.g, finder.states[0])
    found = disturbance(layout.problem, posted, moved, frozenset({0}))
    assert found.boats
    by_unit = found.boats - found.firm + 10 * found.firm
    assert finder.states[0][e.TRUE] == score(layout.problem, moved).cost + PRICE.boat * by_unit + PRICE.job * found.jobs


def test_a_repair_where_nothing_changed_changes_nothing() -> None:
    for seed in range(1, 5):
        layout, posted, _state = near(seed)
        state = empty_state(layout)
        repair(layout, state, posted, frozenset())
        kept = {row.job: row for row in read_plan(layout, state, best=False).placements}
        assert all(kept[row.job] == row for row in posted.placements)
