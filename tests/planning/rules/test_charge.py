"""charge: a workboat runs no longer between two charges or fills than it can.

A day is eight quarters, 08:00 to 10:00. The workboat runs four quarters a day unless a test says otherwise; what is
expected was counted by hand.
"""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.planning.rules.conftest import Planner
from tests.planning.tiny import at, broken_rules, changed, job, moved, place, plan, pos, put, way, yard
from yard.planning import engine as e
from yard.planning.check import faults
from yard.planning.facts import ProblemInvalid
from yard.planning.layout import compile_problem
from yard.planning.listing import list_plan
from yard.planning.plan import Plan, Planned
from yard.planning.problem import Charge, Pin, Place, PlaceNeed, Problem
from yard.planning.progress import Rounds
from yard.planning.solve import solve
from yard.planning.state import empty_state, load_plan, read_plan

RULE = "charge"
BOAT, LAUNCH = 0, 1


def charge(day: int, starts: str, ends: str, quarters: int) -> Charge:
    return Charge(starts=at(day, starts), ends=at(day, ends), quarters=quarters)


def workboat(quarters: int = 4, name: str = "Workboat", *, days: int = 2) -> Place:
    return place(name, charges=tuple(charge(day, "08:00", "10:00", quarters) for day in range(days)))


HALVES = place("Workboat", charges=(charge(0, "08:00", "09:00", 3), charge(0, "09:00", "10:00", 3)))
"""Charged anew at 09:00 of the first day, and out of work on the second."""


def runs(*quarters: int, at: Place | None = None, **facts: object) -> Problem:
    """One job of so many quarters for each boat, in the workboat."""
    jobs = [job(f"run {n}", way(q, places=(BOAT,)), boat=n, order=n) for n, q in enumerate(quarters)]
    return yard(*jobs, **{"places": (at or workboat(),), **facts})


def put_all(*starts: int, lengths: tuple[int, ...], boats: tuple[int, ...] = ()) -> Plan:
    return plan(
        *(
            put(n, s, s + q, (), [(boats[n] if boats else BOAT, 0)])
            for n, (s, q) in enumerate(zip(starts, lengths, strict=True))
        )
    )


TRIVIAL = (runs(8, at=place("Workboat")), put_all(0, lengths=(8,)))
KEPT = (runs(2, 2, 2), put_all(0, 4, 8, lengths=(2, 2, 2)))
BREAKS = {
    "a third on one day": (KEPT[0], moved(KEPT[1], 2, -2)),
    "longer than a charge": (runs(5), put_all(0, lengths=(5,))),
    "over the hour at which it is charged": (runs(2, at=HALVES), put_all(3, lengths=(2,))),
    "on a day without a charge": (runs(2, at=HALVES), put_all(8, lengths=(2,))),
    "with what is pinned": (
        runs(3, 2, pins=(Pin(job=0, way=0, starts_at=0, ends_at=3, places=((BOAT, 0),)),)),
        put_all(0, 4, lengths=(3, 2)),
    ),
}


def test_trivial() -> None:
    """A boat without charges runs all day."""
    assert broken_rules(*TRIVIAL) == set()


def test_kept() -> None:
    assert broken_rules(*KEPT) == set()


@pytest.mark.parametrize("name", BREAKS)
def test_broken(name: str) -> None:
    assert broken_rules(*BREAKS[name]) == {RULE}


def test_it_says_how_long_it_would_run() -> None:
    problem, broken = BREAKS["a third on one day"]
    (breach,) = faults(problem, broken)
    assert breach.message.endswith("Workboat runs 90 min on a charge that lasts 60")
    assert breach.job == 2


def test_pins_alone_are_facts() -> None:
    """Both were said by a person: the plan answers for neither."""
    pins = tuple(Pin(job=n, way=0, starts_at=s, ends_at=s + 3, places=((BOAT, 0),)) for n, s in enumerate((0, 4)))
    problem, both = runs(3, 3, pins=pins), put_all(0, 4, lengths=(3, 3))
    assert broken_rules(problem, both) == {RULE}
    assert faults(problem, both) == ()


def test_the_third_goes_the_next_day(planner: Planner) -> None:
    found = planner(runs(2, 2, 2)).by_job()
    assert sorted(row.starts_at // 8 for row in found.values()) == [0, 0, 1]


def test_a_charge_at_noon_is_a_second_one(planner: Planner) -> None:
    """Three quarters before 09:00 and three after; on one charge of three the second would wait a day."""
    found = planner(runs(3, 3, at=HALVES)).by_job()
    assert sorted(row.starts_at for row in found.values()) in ([0, 4], [0, 5], [1, 4], [1, 5])


def test_what_is_pinned_has_been_run(planner: Planner) -> None:
    pins = (Pin(job=0, way=0, starts_at=4, ends_at=7, places=((BOAT, 0),)),)
    assert planner(runs(3, 2, pins=pins)).by_job()[1].starts_at >= pos(1, "08:00")


def test_another_boat_has_a_charge_of_its_own(planner: Planner) -> None:
    jobs = [job(f"run {n}", way(4, places=(PlaceNeed(any_of=(BOAT, LAUNCH)),)), boat=n, order=n) for n in range(2)]
    found = planner(yard(*jobs, places=(workboat(4), workboat(4, "Launch")))).by_job()
    assert [row.starts_at // 8 for row in found.values()] == [0, 0]
    assert {row.places[0][0] for row in found.values()} == {BOAT, LAUNCH}


def test_the_engine_counts_what_a_loaded_plan_runs() -> None:
    """A plan put back as it was is whole, and no quarter of the day's charge is left beside it."""
    problem, kept = runs(2, 2, 2), KEPT[1]
    layout = compile_problem(problem)
    state = empty_state(layout)
    load_plan(layout, state, kept)
    assert read_plan(layout, state, best=False).placements == kept.placements
    (turn,) = layout.ground.spent[BOAT]
    left = [
        sum(state[layout.g[e.FREE] + day * layout.g[e.ROWS] + turn.first + n] == layout.axis.full for n in range(4))
        for day in range(2)
    ]
    assert left == [0, 2]


@pytest.mark.parametrize(
    ("facts", "told"),
    [
        ({"charges": (charge(0, "08:00", "11:00", 2),)}, "is not inside one day"),
        ({"charges": (charge(0, "08:00", "09:30", 2), charge(0, "09:00", "10:00", 2))}, "begins before"),
        ({"charges": (charge(0, "08:00", "10:00", -1),)}, "runs -1 quarters"),
    ],
)
def test_a_wrong_charge_is_refused(facts: dict[str, tuple[Charge, ...]], told: str) -> None:
    with pytest.raises(ProblemInvalid, match=told):
        runs(1, at=place("Workboat", **facts))


def test_bench_work_runs_on_no_charge() -> None:
    with pytest.raises(ProblemInvalid, match="not of one stretch"):
        yard(job("sew", way(1, places=(BOAT,)), pausing="paused"), places=(workboat(),))


def most_on_the_first_day(lengths: list[int], quarters: int) -> int:
    """How many of the jobs one charge of the first day takes: by trying every set of them."""
    sets = (some for n in range(len(lengths) + 1) for some in combinations(lengths, n))
    return max(len(some) for some in sets if sum(some) <= quarters)


@settings(max_examples=12, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(lengths=st.lists(st.integers(1, 3), min_size=1, max_size=4), quarters=st.integers(3, 8))
def test_as_many_as_a_charge_takes(lengths: list[int], quarters: int) -> None:
    """The planner leaves as few for the second day as trying every set does, and never runs longer than it may."""
    problem = runs(*lengths, at=workboat(quarters))
    result = solve(problem, stop=Rounds(150), workers=1, backend="python")
    assert isinstance(result, Planned)
    for found in (list_plan(problem), result.plan):
        assert faults(problem, found) == ()
        for day in range(2):
            assert sum(r.ends_at - r.starts_at for r in found.placements if r.starts_at // 8 == day) <= quarters
    if not result.plan.left_out:
        first = sum(row.starts_at < 8 for row in result.plan.placements)
        assert first == most_on_the_first_day(lengths, quarters)


def test_moving_the_last_run_within_its_day_keeps_it() -> None:
    assert broken_rules(KEPT[0], changed(KEPT[1], 2, starts_at=14, ends_at=16)) == set()
