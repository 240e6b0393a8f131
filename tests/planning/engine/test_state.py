"""The engine's bookkeeping: what is taken comes back, and both backends keep the same books to the bit."""

from __future__ import annotations

from functools import cache

import pytest

from tests import season_generator, seasons
from tests.planning.engine import made_up
from yard.planning import backend as backends
from yard.planning import engine as e
from yard.planning.check import faults
from yard.planning.improve import temperature
from yard.planning.layout import Layout, compile_problem
from yard.planning.listing import build_list
from yard.planning.plan import LeftOut, Plan, score
from yard.planning.state import empty_state, load_plan, read_plan, seed_of

SEEDS = range(1, 13)
ROUNDS = 40


@cache
def layout_of(seed: int) -> Layout:
    if seed == 0:
        return compile_problem(seasons.problem_of(season_generator.season("XS", seed=1)))
    return compile_problem(made_up.yard(seed, boats=5 + seed % 6))


def searched(seed: int, backend: backends.Backend = "python") -> list[int]:
    """The list built, then searched at four temperatures, the last with the flow moves: a state of the caller's own."""
    return list(_searched(seed, backend))


@cache
def _searched(seed: int, backend: backends.Backend) -> tuple[int, ...]:
    layout = layout_of(seed)
    state = empty_state(layout)
    build_list(layout, state)
    engine = backends.load(backend)
    g, s = backends.sequence(backend, layout.g), backends.sequence(backend, state)
    engine.start_search(g, s)
    s[e.RANDOM] = seed_of(seed, 0)
    for part in range(4):
        engine.improve(g, s, ROUNDS, temperature(layout, part / 4 + 0.2), int(part == 3))
    return tuple(int(number) for number in s)


def whole(layout: Layout, plan: Plan) -> Plan:
    """The plan with its left-out boats named, as the check wants them."""
    placed = plan.by_job()
    boats = sorted({job.boat for number, job in enumerate(layout.problem.jobs) if number not in placed})
    return Plan(
        placements=plan.placements,
        stays=plan.stays,
        left_out=tuple(LeftOut(boat=boat, rule="complete", job=None, reason="") for boat in boats),
    )


@pytest.mark.parametrize("seed", [0, *SEEDS])
def test_both_backends_keep_the_same_books(seed: int) -> None:
    """Every number of the state: free words, nights, what is held, costs, saved copies, scratch, random numbers."""
    assert searched(seed, "python") == searched(seed, "numba")


@pytest.mark.parametrize("seed", [0, *SEEDS])
def test_what_is_taken_comes_back(seed: int) -> None:
    """After a search, taking every open job out leaves the words, nights and slid days of the empty yard."""
    layout = layout_of(seed)
    g, state = layout.g, searched(seed)
    for job in range(g[e.JOBS]):
        pinned = g[g[e.JOB] + job * e.JOB_STRIDE + e.J_PINNED]
        if not pinned and state[g[e.HELD] + job * g[e.HELD_STRIDE]] >= 0:
            e.unplace(g, state, job)
    empty = empty_state(layout)
    for area, end in ((e.FREE, e.NIGHTS), (e.NIGHTS, e.HELD), (e.SLID, None)):
        stop = layout.state_size if end is None else g[end]
        assert state[g[area] : stop] == empty[g[area] : stop]


@pytest.mark.parametrize("seed", [0, *SEEDS])
def test_free_words_are_free_at_the_start_minus_what_is_held(seed: int) -> None:
    """Units of places: the bits of each hold, counted from the plan alone. People: tracked words worked out afresh."""
    layout = layout_of(seed)
    g, state = layout.g, searched(seed)
    wanted = empty_state(layout)
    plan = read_plan(layout, state, best=False)
    pins = {pin.job for pin in layout.problem.pins}
    for row in plan.placements:
        way = layout.problem.jobs[row.job].ways[row.way]
        day_end = ((row.ends_at - 1) // layout.axis.quarters + 1) * layout.axis.quarters
        until = min(row.ends_at + way.place_extra_quarters, day_end)
        for place, unit in row.places if row.job not in pins else ():
            for position in range(row.starts_at, until):
                day, quarter = divmod(position, layout.axis.quarters)
                at = g[e.FREE] + day * g[e.ROWS] + layout.ground.unit_rows[place] + unit
                assert wanted[at] >> quarter & 1
                wanted[at] ^= 1 << quarter
    units = range(layout.ground.unit_rows[-1] + layout.problem.places[-1].capacity)
    for day in range(layout.axis.days):
        at = g[e.FREE] + day * g[e.ROWS]
        assert [state[at + row] for row in units] == [wanted[at + row] for row in units]
    fresh = list(state)
    for person, rows in enumerate(layout.roster.people):
        for day in range(layout.axis.days) if rows.tracked else ():
            e.freshen(g, fresh, person, day)
    assert fresh == state


@pytest.mark.parametrize("seed", [0, *SEEDS])
def test_every_plan_keeps_every_rule_and_costs_what_the_engine_says(seed: int) -> None:
    layout = layout_of(seed)
    state = searched(seed)
    for best, cost in ((False, state[e.TRUE]), (True, state[e.LEAST] % layout.g[e.LEFT_COST])):
        plan = whole(layout, read_plan(layout, state, best=best))
        assert faults(layout.problem, plan) == ()
        assert score(layout.problem, plan).cost == cost


@pytest.mark.parametrize("seed", [0, *SEEDS])
def test_a_plan_that_is_loaded_stands_as_it_was(seed: int) -> None:
    layout = layout_of(seed)
    plan = read_plan(layout, searched(seed), best=True)
    state = empty_state(layout)
    load_plan(layout, state, plan)
    again = read_plan(layout, state, best=False)
    assert again.placements == plan.placements
    assert faults(layout.problem, whole(layout, again)) == ()


def test_a_loaded_plan_that_breaks_a_rule_loses_that_boat_alone() -> None:
    """One launch of the plan moved to midnight of the axis, where no tide, light or person allows it."""
    layout = layout_of(2)
    plan = read_plan(layout, searched(2), best=True)
    launch = next(row for row in plan.placements if layout.problem.jobs[row.job].name == "launch")
    moved = type(launch)(job=launch.job, way=0, starts_at=0, ends_at=8, people=launch.people, places=launch.places)
    rows = tuple(moved if row.job == launch.job else row for row in plan.placements)
    state = empty_state(layout)
    load_plan(layout, state, Plan(placements=rows, stays=plan.stays))
    kept = read_plan(layout, state, best=False).by_job()
    boat = layout.problem.jobs[launch.job].boat
    fronts = {
        layout.problem.jobs[link.after].boat
        for link in layout.problem.links
        if layout.problem.jobs[link.before].boat == boat
    }
    for row in plan.placements:
        owner = layout.problem.jobs[row.job].boat
        if owner == boat:
            assert row.job not in kept or any(pin.job == row.job for pin in layout.problem.pins)
        elif owner not in fronts:
            assert kept[row.job] == row
