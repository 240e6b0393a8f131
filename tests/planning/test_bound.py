"""The bound is never above what a plan costs: proven optima of random seasons, and plans of made-up ones."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests import season_generator as generator
from tests.planning.brute import best_cost
from tests.planning.small import problems
from tests.planning.tiny import at, boats_that_want_jo, calendar, crew, job, place, span, way, windows, yard
from tests.seasons import problem_of
from yard.planning.__main__ import main
from yard.planning.bound import lower_bound
from yard.planning.check import faults
from yard.planning.listing import list_plan
from yard.planning.plan import score, write_plan_json
from yard.planning.problem import CostRates, Link, Pin, Problem, write_problem_json
from yard.planning.progress import Rounds, Seconds
from yard.planning.reach import MOST_WEIGHT
from yard.planning.units import CannotExpress

RANDOM = settings(max_examples=300, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))


@RANDOM
@given(problem=problems())
def test_never_above_the_best_plan_nor_one_that_leaves_boats_out(problem: Problem) -> None:
    found = lower_bound(problem, stop=Rounds(12), backend="python")
    best = best_cost(problem)
    if best is not None:
        assert found.alone <= found.cost <= best
    try:
        plan = list_plan(problem)
    except CannotExpress:
        return
    if not faults(problem, plan):
        assert found.cost <= score(problem, plan).cost


@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(problem=problems(max_jobs=2), rate=st.sampled_from([10**4, MOST_WEIGHT - 1, MOST_WEIGHT]))
def test_never_above_it_at_costs_of_any_size(problem: Problem, rate: int) -> None:
    dear = replace(problem, rates=CostRates(late_day=rate, flow_day=problem.rates.flow_day))
    best = best_cost(dear)
    if best is not None:
        assert lower_bound(dear, stop=Rounds(8), backend="python").cost <= best


def test_a_boat_alone_waits_for_her_tide() -> None:
    """Two quarters on day 0, her water only on day 1: a day late and a day of flow, unless the work waits for her."""
    problem = yard(
        job("rig", way(2, crew=crew(1)), not_after=at(0, "09:00")),
        job("launch", way(2, crew=crew(1), inside=(0,))),
        links=(Link(before=0, after=1),),
        window_sets=(windows("water", span(1, "08:00", "09:00")),),
        rates=CostRates(late_day=100, flow_day=1),
    )
    found = lower_bound(problem, stop=Rounds(0), backend="python")
    assert (found.cost, found.by) == (101, "alone")


def test_the_allowance_does_not_count_within_the_forecast() -> None:
    """Eight quarters of allowance put the second job a day later; what ends within the forecast has none."""
    problem = yard(
        job("paint", way(2), allowance_quarters=8),
        job("launch", way(2)),
        links=(Link(before=0, after=1),),
        rates=CostRates(late_day=100, flow_day=1),
    )
    judged = replace(problem, forecast_until=at(1, "10:00"))
    costs = [lower_bound(one, stop=Rounds(0), backend="python").cost for one in (problem, judged)]
    assert costs == [best_cost(problem), best_cost(judged)] == [101, 0]


def test_prices_see_that_two_boats_cannot_both_have_jo() -> None:
    """Each is worth a day late; alone neither is late, together one is at least."""
    problem = boats_that_want_jo(8, rates=CostRates(late_day=100, flow_day=1))
    found = lower_bound(problem, stop=Rounds(400), backend="python")
    assert found.alone == 0
    assert (found.cost, found.by) == (100, "prices")
    assert best_cost(problem) == 100


def test_a_place_has_a_price_too() -> None:
    jobs = [replace(job(f"dry {boat}", way(8, places=(0,))), boat=boat, order=boat) for boat in range(3)]
    problem = yard(*jobs, places=(place("Line"),), calendar=calendar(3), rates=CostRates(late_day=100, flow_day=1))
    assert lower_bound(problem, stop=Rounds(400), backend="python").cost == 300


def test_pinned_work_is_a_fact_and_its_people_are_taken() -> None:
    pin = Pin(job=1, way=0, starts_at=0, ends_at=8, people=(0,))
    problem = boats_that_want_jo(8, pins=(pin,))
    assert lower_bound(problem, stop=Rounds(0), backend="python").cost == best_cost(problem)


def test_a_boat_that_fits_nowhere_costs_what_she_does_when_left_out() -> None:
    problem = yard(job("rig", way(9, crew=crew(1))))
    plan = list_plan(problem)
    assert lower_bound(problem, stop=Rounds(0), backend="python").cost == score(problem, plan).cost


def test_a_bound_that_is_met_is_a_proof() -> None:
    problem = yard(job("rig", way(2, crew=crew(1))))
    assert lower_bound(problem, stop=Rounds(5), known=0, backend="python").proved


def test_the_solver_is_asked_for_small_seasons() -> None:
    problem = boats_that_want_jo(5)
    best = best_cost(problem)
    assert best is not None
    found = lower_bound(problem, stop=Seconds(6), known=best + 1, backend="python")
    assert found.cost <= best
    assert found.cpsat in (0, best)


def season(size: str, seed: int) -> Problem:
    return problem_of(generator.season(size, seed=seed))


def test_season_xs_within_a_quarter_of_its_optimum() -> None:
    """3,880 is proved by CP-SAT (two seconds, eight workers); 0.85 of it takes more rounds than a test has."""
    found = lower_bound(season("XS", 1), stop=Rounds(60), backend="python")
    assert 3_160 <= found.cost <= 3_880


def test_one_number_of_rounds_gives_one_bound_on_either_backend() -> None:
    problem = season("XS", 3)
    ones = [lower_bound(problem, stop=Rounds(10), backend=backend) for backend in ("python", "numba", "python")]
    assert len({(one.cost, one.alone, one.rounds) for one in ones}) == 1


def test_interrupted_it_still_holds() -> None:
    problem = season("XS", 1)
    assert lower_bound(problem, stop=Rounds(10**9), backend="python", should_stop=lambda: True).cost > 0


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    problem = yard(job("rig", way(2, crew=crew(1))))
    paths = [tmp_path / "problem.json", tmp_path / "plan.json"]
    paths[0].write_bytes(write_problem_json(problem))
    paths[1].write_bytes(write_plan_json(list_plan(problem)))
    given_to = ["bound", str(paths[0]), "--plan", str(paths[1]), "--rounds", "3", "--backend", "python", "--json"]
    assert main(given_to) == 0
    answer = json.loads(capsys.readouterr().out)
    assert (answer["bound"], answer["cost"], answer["ratio"], answer["proved"]) == (0, 0, None, True)
