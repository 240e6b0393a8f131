"""The bound is never above what a plan costs: proven optima of random seasons, and plans of made-up ones."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.planning.brute import best_cost
from tests.planning.small import problems
from yard.planning.bound import lower_bound
from yard.planning.check import faults
from yard.planning.listing import list_plan
from yard.planning.plan import score
from yard.planning.problem import CostRates, Problem
from yard.planning.progress import Rounds
from yard.planning.units import CannotExpress

RANDOM = settings(max_examples=300, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))


@RANDOM
@given(problem=problems())
def test_never_above_the_best_plan(problem: Problem) -> None:
    best = best_cost(problem)
    found = lower_bound(problem, stop=Rounds(12), backend="python")
    if best is not None:
        assert found.alone <= found.cost <= best


@RANDOM
@given(problem=problems())
def test_never_above_a_plan_that_leaves_boats_out(problem: Problem) -> None:
    try:
        plan = list_plan(problem)
    except CannotExpress:
        return
    if not faults(problem, plan):
        assert lower_bound(problem, stop=Rounds(12), backend="python").cost <= score(problem, plan).cost


@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(problem=problems(max_jobs=2), rate=st.sampled_from([10**6, 10**12, 10**15]))
def test_never_above_it_at_costs_of_any_size(problem: Problem, rate: int) -> None:
    dear = replace(problem, rates=CostRates(late_day=rate, flow_day=problem.rates.flow_day))
    best = best_cost(dear)
    if best is not None:
        assert lower_bound(dear, stop=Rounds(8), backend="python").cost <= best
