"""The front door: repeatable, stoppable, never worse, and every ending has its own type."""

from __future__ import annotations

import time
from dataclasses import replace
from functools import cache

import pytest

from tests import season_generator, seasons
from tests.planning.engine import made_up
from tests.planning.tiny import ANN, JO, at, crew, job, person, place, span, way, windows, yard
from yard.planning import backend as backends
from yard.planning import engine as e
from yard.planning import solve as front
from yard.planning.check import faults
from yard.planning.improve import Search
from yard.planning.layout import compile_problem
from yard.planning.listing import build_list, list_plan
from yard.planning.plan import Plan, Planned, score
from yard.planning.problem import Boat, Inside, Link, Order, Pin, Problem, WindowSet
from yard.planning.progress import Progress, Rounds, Seconds
from yard.planning.solve import BackendMissing, PlanBroken, solve
from yard.planning.state import empty_state


@cache
def small_season() -> Problem:
    return seasons.problem_of(season_generator.season("XS", seed=1))


def planned(problem: Problem, **how: object) -> Planned:
    result = solve(problem, **{"stop": Rounds(60), "workers": 1, "backend": "python", **how})
    assert isinstance(result, Planned)
    return result


@pytest.mark.parametrize("workers", [1, 3])
def test_one_seed_one_plan(workers: int) -> None:
    one = planned(small_season(), seed=7, workers=workers)
    two = planned(small_season(), seed=7, workers=workers)
    other = planned(small_season(), seed=8, workers=workers)
    assert one.plan == two.plan
    assert one.plan != other.plan


def test_both_backends_give_one_plan() -> None:
    """Whenever numba is ready: with `Rounds` the plan does not tell which backend made which round."""
    python = planned(small_season(), stop=Rounds(300), workers=2)
    assert planned(small_season(), stop=Rounds(300), workers=2, backend="numba").plan == python.plan


def test_more_rounds_never_make_it_worse_than_the_list() -> None:
    problem = made_up.yard(3, boats=8)
    costs = [planned(problem, stop=Rounds(rounds)).score for rounds in (0, 30, 300)]
    listed = score(problem, list_plan(problem))
    assert (costs[0].left_out, costs[0].cost) == (listed.left_out, listed.cost)
    assert all((found.left_out, found.cost) <= (listed.left_out, listed.cost) for found in costs)
    assert costs[2].cost < listed.cost


def one_day_of_jo(*sets: WindowSet, **facts: object) -> Problem:
    """Wren and Teal each want Jo's whole day; Wren is due first."""
    return yard(
        job("rig Wren", way(8, crew=crew(1))),
        job("rig Teal", way(8, crew=crew(1), **facts), boat=1, order=1),
        people=(person("Jo"),),
        window_sets=sets,
        orders=tuple(Order(key=f"o{n}", name=f"Order {n}", due_day=n + 1) for n in range(2)),
    )


def test_a_boat_that_only_one_day_suits_has_it_in_the_first_plan() -> None:
    """Teal's water is there on day 0 only: by due days Wren takes Jo, and there is no room for Teal."""
    problem = one_day_of_jo(windows("water", span(0, "08:00", "10:00")), inside=(Inside(window_set=0),))
    assert [row.boat for row in list_plan(problem).left_out] == [1]
    found = planned(problem, stop=Rounds(0))
    assert found.plan.left_out == ()
    assert {row.job: row.starts_at for row in found.plan.placements} == {0: 8, 1: 0}


def test_a_job_that_must_begin_by_a_day_presses_like_a_due_day() -> None:
    """Teal's rig must begin on day 0 (her mast is stepped): the list has her first, though Wren is due sooner."""
    problem = one_day_of_jo()
    hurried = replace(problem.jobs[1], not_after=at(0, "09:00"))
    assert list_plan(replace(problem, jobs=(problem.jobs[0], hurried))).left_out == ()


def both_on_day_0() -> Problem:
    """Jo's day 0 is the last day for both, and room for one; both are due on it, and a day of Teal's counts five."""
    problem = one_day_of_jo()
    orders = tuple(replace(order, goes_first=1 + 4 * n, due_day=0) for n, order in enumerate(problem.orders))
    return replace(problem, jobs=tuple(replace(row, not_after=at(0, "09:00")) for row in problem.jobs), orders=orders)


def test_where_one_of_two_has_room_who_goes_first_has_it() -> None:
    """The first plan takes Wren, who is named first; the search leaves her out again, for Teal's sake."""
    assert [row.boat for row in planned(both_on_day_0(), stop=Rounds(0)).plan.left_out] == [1]
    found = planned(both_on_day_0())
    assert [row.boat for row in found.plan.left_out] == [0]
    assert faults(both_on_day_0(), found.plan) == ()


def test_nobody_is_left_out_after_whom_somebody_who_stands_is_to_come() -> None:
    """Wren stands farther in than Swan, whose job needs nobody: Wren's room is not given to Teal."""
    problem = both_on_day_0()
    swan = job("rig Swan", way(1), boat=2, order=2)
    behind = replace(
        problem,
        boats=(*problem.boats, Boat(key="b2", name="Swan")),
        jobs=(*problem.jobs, swan),
        orders=(*problem.orders, Order(key="o2", name="Order 2", due_day=3, goes_first=1)),
        links=(Link(before=0, after=2, reason="stands farther in"),),
    )
    found = planned(behind, stop=Rounds(400))
    placed = {row.job for row in found.plan.placements}
    assert faults(behind, found.plan) == ()
    assert not (2 in placed and 0 not in placed)
    assert found.score.left_out == 1


def test_whom_no_yard_has_room_for_is_left_out_at_once() -> None:
    problem = one_day_of_jo()
    nobody = replace(problem.jobs[1], ways=(way(9, crew=crew(1)),))
    found = planned(replace(problem, jobs=(problem.jobs[0], nobody)), stop=Rounds(0))
    assert [row.boat for row in found.plan.left_out] == [1]


def test_time_is_kept_and_the_phases_are_told() -> None:
    seen: list[Progress] = []
    began = time.monotonic()
    result = planned(season_problem(), stop=Seconds(1.5), on_progress=seen.append)
    assert time.monotonic() - began < 6  # the check and a slow machine included
    assert [p.phase for p in seen[:2]] == ["compiling", "first plan"]
    assert {p.phase for p in seen[2:]} == {"improving"}
    assert seen[0].cost is None
    costs = [p.cost for p in seen[1:] if p.cost is not None]
    assert costs == sorted(costs, reverse=True)
    assert result.ended == "time"


@cache
def season_problem() -> Problem:
    return seasons.problem_of(season_generator.season("S", seed=1))


def test_stopped_at_once_it_keeps_the_first_plan() -> None:
    problem = small_season()
    result = planned(problem, stop=Rounds(100_000), should_stop=lambda: True)
    assert result.ended == "stopped"
    assert result.score == score(problem, list_plan(problem))


def test_stopped_later_it_keeps_its_best() -> None:
    asked = iter([False] * 8 + [True])
    result = planned(small_season(), stop=Rounds(2000), should_stop=lambda: next(asked))
    assert result.ended == "stopped"
    assert result.score.cost < score(small_season(), list_plan(small_season())).cost


def test_a_good_plan_to_begin_from_is_not_lost() -> None:
    good = planned(small_season(), stop=Rounds(1500))
    again = planned(small_season(), stop=Rounds(0), start=good.plan)
    assert again.plan.placements == good.plan.placements
    further = planned(small_season(), stop=Rounds(50), start=good.plan)
    assert further.score.cost <= good.score.cost


def test_a_plan_to_begin_from_that_no_longer_fits_is_mended() -> None:
    """Jo, whom the plan has at 08:00, is now away until 09:00."""
    before = yard(job("wash", way(2, crew=crew(1))), people=(person("Jo"),))
    plan = planned(before).plan
    after = replace(before, people=(person("Jo", away=(span(0, "08:00", "09:00"),)),))
    mended = planned(after, start=plan, stop=Rounds(0)).plan
    assert mended.by_job()[0].starts_at == 4
    assert faults(after, mended) == ()


def test_a_small_season_is_proved() -> None:
    """Wash three quarters for each of two boats on one deck, both due on day -1, so each is a day late at the least:
    2 x 100, and no plan costs less."""
    rows = [job(f"wash {n}", way(3, places=(0,)), boat=n, order=n) for n in range(2)]
    problem = yard(*rows, places=(place("Deck"),))
    problem = replace(problem, orders=tuple(replace(order, due_day=-1) for order in problem.orders))
    result = planned(problem, stop=Seconds(8))
    assert (result.score.cost, result.bound, result.proved, result.ended) == (200, 200, True, "proved")


def test_what_costs_nothing_is_proved_at_once() -> None:
    result = planned(yard(job("wash", 2)))
    assert (result.score.cost, result.proved, result.ended) == (0, True, "proved")


def test_a_circle_of_waits_goes_to_the_constraint_solver() -> None:
    """Each may start half an hour before the other ends: a circle, though not of time."""
    problem = yard(
        job("cut", 4),
        job("sew", 4),
        links=(Link(before=0, after=1, min_wait=-60), Link(before=1, after=0, min_wait=-60)),
    )
    result = planned(problem, stop=Seconds(10))
    assert result.score.cost == 0
    assert faults(problem, result.plan) == ()


def test_nothing_to_plan() -> None:
    problem = yard(job("wash", 2), pins=(Pin(job=0, way=0, starts_at=0, ends_at=2),))
    assert planned(problem).plan.by_job()[0].starts_at == 0


def test_wrong_arguments() -> None:
    with pytest.raises(ValueError, match="workers"):
        planned(small_season(), workers=0)
    with pytest.raises(ValueError, match="fortran"):
        planned(small_season(), backend="fortran")
    with pytest.raises(ValueError, match="seconds"):
        Seconds(-1)
    with pytest.raises(ValueError, match="rounds"):
        Rounds(-1)


def test_numba_asked_for_and_not_there(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(backends.importlib.util, "find_spec", lambda name: None)
    with pytest.raises(BackendMissing, match="numba"):
        planned(small_season(), backend="numba")
    assert planned(yard(job("wash", 2)), backend=None).proved  # not asked for: it does without


def test_a_broken_plan_never_leaves_the_house(monkeypatch: pytest.MonkeyPatch) -> None:
    """The check is asked at the door: here the engine's answer is swapped for one that has lost a quarter."""

    def shortened(layout: object, plan: Plan) -> Plan:
        del layout
        row = plan.placements[0]
        return replace(plan, placements=(replace(row, ends_at=row.ends_at - 1), *plan.placements[1:]))

    monkeypatch.setattr(front, "left_out", shortened)
    with pytest.raises(PlanBroken, match="span"):
        planned(yard(job("wash", 2)))


def test_workers_that_have_met_go_different_ways() -> None:
    """Both stand where the cheaper stood, each with its own chance."""
    layout = compile_problem(small_season())
    state = empty_state(layout)
    build_list(layout, state)
    search = Search(layout, state, seed=1, workers=2, backend="python")
    search._slice(20, 0.1)
    search._meet()
    one, two = search.states
    held = slice(layout.g[e.HELD], layout.g[e.SAVED])
    assert one[held] == two[held]
    assert one[e.RANDOM] != two[e.RANDOM]


# --- reasons ---


def reason(problem: Problem) -> tuple[int, str, int | None, str]:
    result = planned(problem)
    (row,) = result.plan.left_out
    assert faults(problem, result.plan) == ()
    return row.boat, row.rule, row.job, row.reason


def test_nobody_has_the_skill() -> None:
    boat, rule, at_job, says = reason(yard(job("weld", way(2, crew=crew(1, skill="weld")))))
    assert (boat, rule, at_job) == (0, "crew", 0)
    assert "weld" in says


def test_no_water_floats_her() -> None:
    """Half an hour of water for a job of three quarters."""
    problem = yard(job("launch", way(3, inside=(0,))), window_sets=(windows("water", span(0, "08:00", "08:30")),))
    boat, rule, at_job, says = reason(problem)
    assert (boat, rule, at_job) == (0, "windows", 0)
    assert "water" in says


def test_her_dates_leave_no_room() -> None:
    assert reason(yard(job("wash", 2, not_before=at(1, "09:45"))))[1] == "release"


def test_leave_takes_the_people() -> None:
    jo = person("Jo", away=(span(0, "08:00", "10:00"), span(1, "08:00", "10:00")))
    assert reason(yard(job("wash", way(2, crew=crew(1))), people=(jo,)))[1] == "hours"


def test_no_place_is_that_large() -> None:
    from yard.planning.problem import PlaceNeed

    need = PlaceNeed(any_of=(0,), units=2)
    assert reason(yard(job("spread", way(2, places=(need,))), places=(place("Loft"),)))[1] == "places"


def test_the_other_boats_have_the_people() -> None:
    """Two days of eight quarters, three boats that need Jo for six: two get in, the third is told who is in the way."""
    rows = [job(f"rig {n}", way(6, crew=crew(1)), boat=n, order=n) for n in range(3)]
    boat, rule, _job, _says = reason(yard(*rows, people=(person("Jo"),)))
    assert (boat, rule) == (2, "double_booking")


def test_the_other_boats_have_the_place() -> None:
    rows = [job(f"wash {n}", way(6, places=(0,)), boat=n, order=n) for n in range(3)]
    assert reason(yard(*rows, places=(place("Deck"),)))[:2] == (2, "places")


def test_pinned_work_is_in_the_way() -> None:
    problem = yard(
        job("wash", way(2, crew=crew(1))),
        job("survey", way(8, crew=crew(1)), boat=1, order=1),
        job("more survey", way(8, crew=crew(1)), boat=1, order=1),
        people=(person("Jo"), person("Ann", "sew")),
        pins=tuple(Pin(job=n, way=0, starts_at=8 * n - 8, ends_at=8 * n, people=(JO,)) for n in (1, 2)),
    )
    assert reason(problem)[:2] == (0, "pins")
    assert ANN == 1


def test_one_boat_of_an_order_is_still_planned() -> None:
    """An order over two boats, one of which can never be launched: the other's work is planned all the same."""
    problem = yard(
        job("launch", way(3, inside=(0,)), boat=0, order=0),
        job("wash", 2, boat=1, order=0),
        window_sets=(windows("water"),),
    )
    result = planned(problem)
    assert [row.boat for row in result.plan.left_out] == [0]
    assert list(result.plan.by_job()) == [1]
