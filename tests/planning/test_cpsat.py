"""The constraint model: exact on every tiny season, with hints, limits, a stop, and "impossible" said twice."""

from __future__ import annotations

import threading
import time
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from ortools.sat.python import cp_model

from tests.planning.brute import best_cost
from tests.planning.small import problems
from tests.planning.tiny import at, crew, job, person, place, plan, put, way, yard
from tests.reference.scheduling_instances import INSTANCES, season_of
from yard.planning.check import check, faults
from yard.planning.cpsat import hint as hints
from yard.planning.cpsat import prove, solving
from yard.planning.cpsat.table import build
from yard.planning.plan import Infeasible, OutOfTime, Plan, Planned, Result, score
from yard.planning.problem import Link, Pin, PlaceNeed, Problem
from yard.planning.solve import Seconds, solve

RANDOM = settings(max_examples=150, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))


def proved(problem: Problem, *, may_leave_out: bool = False, hint: Plan | None = None) -> Result:
    return prove(problem, hint=hint, seconds=30, workers=1, seed=1, may_leave_out=may_leave_out)


@RANDOM
@given(problem=problems())
def test_as_good_as_trying_every_plan(problem: Problem) -> None:
    best = best_cost(problem)
    match proved(problem):
        case Planned() as found:
            assert faults(problem, found.plan) == ()
            assert (found.score.cost, found.bound, found.proved) == (best, best, True)
        case Infeasible() as none:
            assert best is None
            assert none.reasons
        case OutOfTime():
            pytest.fail("a tiny season takes no half minute")


@settings(RANDOM, max_examples=20, phases=[Phase.generate])
@given(problem=problems())
def test_the_front_door_is_as_good(problem: Problem) -> None:
    """Half a second for the engine, the rest for the proof; where no plan places every boat, some are left out."""
    best = best_cost(problem)
    found = solve(problem, stop=Seconds(2), workers=1, backend="python")
    if best is None:
        assert not isinstance(found, Planned) or found.plan.left_out
    else:
        assert isinstance(found, Planned)
        assert (found.score.cost, found.proved) == (best, True)


@settings(RANDOM, max_examples=80)
@given(problem=problems())
def test_a_boat_is_left_out_only_where_it_must_be(problem: Problem) -> None:
    best = best_cost(problem)
    found = proved(problem, may_leave_out=True)
    if best is not None:
        assert isinstance(found, Planned)
        assert (found.score.cost, found.score.left_out) == (best, 0)
    elif isinstance(found, Planned):
        assert found.plan.left_out
        assert faults(problem, found.plan) == ()


def shop() -> Problem:
    return season_of(INSTANCES["ft06"])


def busy() -> Problem:
    """A job shop that takes seconds: 10 jobs of 10 steps."""
    return season_of(INSTANCES["jsptwt-la18-1.5"])


def test_left_out_is_the_boat_that_does_not_fit() -> None:
    """Two boats, eight quarters of floor: Wren's job of nine quarters never fits, Teal's of eight does."""
    floor = (place("Floor"),)
    problem = yard(job("long", way(9, places=(0,))), job("cut", way(8, places=(0,)), boat=1, order=1), places=floor)
    found = proved(problem, may_leave_out=True)
    assert isinstance(found, Planned)
    assert [row.boat for row in found.plan.left_out] == [0]
    assert found.plan.placements == (put(1, 0, 8, (), [(0, 0)]),)
    assert check(problem, found.plan) == ()


def test_impossible_names_the_job_and_the_rule() -> None:
    """No stretch of nine quarters in a day of eight; and nobody can sew."""
    assert proved(yard(job("long", 9))) == Infeasible(
        ("long (Wren) fits nowhere: no start is left by the rule 'span'",), pytest.approx(0, abs=5)
    )
    nobody = yard(job("sew", way(1, crew=crew(1, skill="sew"))))
    found = proved(nobody)
    assert isinstance(found, Infeasible)
    assert found.reasons == ("sew (Wren) fits nowhere: no start is left by the rule 'hours'",)


def test_impossible_is_said_after_two_searches(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three jobs of a day each on one floor in two days: searched with presolve, then without."""
    floor = (place("Floor"),)
    problem = yard(*[job(f"cut {n}", way(8, places=(0,))) for n in range(3)], places=floor)
    presolved: list[bool] = []
    run = solving._run

    def told(season: object, solver: cp_model.CpSolver, effort: object) -> object:
        presolved.append(solver.parameters.cp_model_presolve)
        return run(season, solver, effort)

    monkeypatch.setattr(solving, "_run", told)
    assert isinstance(proved(problem), Infeasible)
    assert presolved == [True, False]


def test_a_false_impossible_is_not_passed_on(monkeypatch: pytest.MonkeyPatch) -> None:
    """If the first search is wrong, the second finds the plan."""
    run, tries = solving._run, []

    def wrong_at_first(season: object, solver: cp_model.CpSolver, effort: object) -> object:
        tries.append(solver)
        status, stopped = run(season, solver, effort)
        return (cp_model.INFEASIBLE if len(tries) == 1 else status), stopped

    monkeypatch.setattr(solving, "_run", wrong_at_first)
    found = proved(shop())
    assert isinstance(found, Planned)
    assert found.score.cost == 55


def test_a_hint_is_complete() -> None:
    """By the solver's own log: every variable is hinted, and the hint is a solution."""
    problem = featured()
    first = proved(problem)
    assert isinstance(first, Planned)
    season, reasons = build(problem)
    assert reasons == ()
    decided = hints.decisions(season, first.plan)
    assert decided is not None
    assert hints.complete(season, decided, 10) is not None
    assert len(season.model.proto.solution_hint.vars) == len(season.model.proto.variables)
    log: list[str] = []
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.log_search_progress = True
    solver.parameters.log_to_stdout = False
    solver.log_callback = log.append
    solver.solve(season.model)
    assert any("The solution hint is complete and is feasible" in line for line in log), "\n".join(log)


def featured() -> Problem:
    """People, places with a choice, units, a pin later on, ways, bench work, drying, a wait and a weather's share."""
    jobs = (
        job("wash", way(2, crew=crew(1), places=(PlaceNeed(any_of=(0, 1)),), place_extra_quarters=1)),
        job("dry", way(20, places=(PlaceNeed(any_of=(1,), units=2),)), pausing="elapsed"),
        job("sew", way(5, crew=crew(1)), way(3, crew=crew(2)), pausing="paused", boat=1, order=1),
        job("hang", way(2, places=(1,)), boat=1, order=1),
    )
    ann = person("Ann", hours=[(at(0, "08:00"), at(0, "09:30")), (at(1, "08:00"), at(1, "10:00"))])
    return yard(
        *jobs,
        people=(person("Jo"), ann),
        places=(place("Deck"), place("Lines", 3)),
        links=(Link(before=0, after=1),),
        pins=(Pin(job=3, way=0, starts_at=4, ends_at=6, places=((1, 1),)),),
    )


@RANDOM
@given(problem=problems())
def test_a_best_plan_is_taken_as_a_hint(problem: Problem) -> None:
    """Every plan that the model gives can be told to it again, whole."""
    found = proved(problem)
    if not isinstance(found, Planned):
        return
    season, _reasons = build(problem)
    decided = hints.decisions(season, found.plan)
    assert decided is not None
    assert hints.complete(season, decided, 10) is not None


def test_a_hint_that_breaks_a_rule_is_not_used() -> None:
    problem = shop()
    best = proved(problem)
    assert isinstance(best, Planned)
    broken = replace(best.plan, placements=tuple(replace(row, starts_at=0, ends_at=1) for row in best.plan.placements))
    found = proved(problem, hint=broken)
    assert isinstance(found, Planned)
    assert found.score.cost == 55


def test_a_hint_is_never_lost() -> None:
    """With no time to search, the plan that was given comes back, scored, with a bound that claims nothing false."""
    problem = busy()
    first = prove(problem, hint=None, seconds=120, workers=2, seed=3, deterministic=0.02)
    assert isinstance(first, Planned)
    found = prove(problem, hint=first.plan, seconds=0.3, workers=1, seed=1)
    assert isinstance(found, Planned)
    assert found.score.cost <= first.score.cost
    assert found.bound <= 34  # the optimum
    assert check(problem, found.plan) == ()


class after:
    """A `should_stop` that says yes after so many seconds."""

    def __init__(self, seconds: float) -> None:
        self.until = time.monotonic() + seconds

    def __call__(self) -> bool:
        return time.monotonic() > self.until


def test_stopped_it_gives_what_it_has() -> None:
    began = time.monotonic()
    found = prove(busy(), hint=None, seconds=120, workers=1, seed=1, should_stop=after(1.0))
    assert time.monotonic() - began < 10
    assert isinstance(found, Planned | OutOfTime)
    assert not isinstance(found, Planned) or found.proved or found.ended == "stopped"
    assert not [thread for thread in threading.enumerate() if thread.name == "stop watcher"]


def test_a_stop_asked_before_it_began_is_heard() -> None:
    began = time.monotonic()
    prove(busy(), hint=None, seconds=120, workers=1, seed=1, should_stop=lambda: True)
    assert time.monotonic() - began < 10


def test_one_seed_gives_one_plan() -> None:
    """Limited in the solver's own units, two workers taking turns; each run ends by them, not by the clock."""
    found = [prove(busy(), hint=None, seconds=120, workers=2, seed=3, deterministic=0.02) for _run in range(2)]
    plans = [row.plan for row in found if isinstance(row, Planned)]
    assert len(plans) == 2
    assert plans[0] == plans[1]
    assert {row.ended for row in found if isinstance(row, Planned)} == {"rounds"}


def test_out_of_time_is_no_verdict() -> None:
    """A large shop in a twentieth of a second: nothing found, nothing proved."""
    problem = season_of(INSTANCES["mspsp-1a-sf0.75_nc1.5_n20_m10-00"])
    found = prove(problem, hint=None, seconds=0.05, workers=1, seed=1)
    assert isinstance(found, OutOfTime) or (isinstance(found, Planned) and not found.proved)


def test_equal_jobs_of_one_machine_are_put_in_order_only_where_nothing_else_matters() -> None:
    """Of 4, 4 and 8 quarters on one floor, the long one goes first where its order counts tenfold: 16 quarters in all,
    days of eight; so it is done on day 0 and the others on day 1: 100 x (1 + 1). Else it is the late one: 100."""
    jobs = [job(f"cut {n}", way(q, places=(0,)), boat=n, order=n) for n, q in enumerate((4, 4, 8))]
    problem = yard(*jobs, places=(place("Floor"),))
    found = proved(problem)
    assert isinstance(found, Planned)
    assert found.score.cost == 100
    weighty = (*problem.orders[:2], replace(problem.orders[2], goes_first=10))
    found = proved(replace(problem, orders=weighty))
    assert isinstance(found, Planned)
    assert found.score.cost == 200


def test_it_scores_what_it_returns() -> None:
    found = proved(featured())
    assert isinstance(found, Planned)
    assert found.score == score(featured(), found.plan)
    assert found.plan.placements[3] == put(3, 4, 6, (), [(1, 1)])
    assert check(featured(), found.plan) == ()
    assert plan(*found.plan.placements).placements == found.plan.placements
