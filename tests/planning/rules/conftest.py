"""The planners through which each rule is tried."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from yard.planning.cpsat import prove
from yard.planning.plan import Plan, Planned, Result
from yard.planning.problem import Problem
from yard.planning.solve import Seconds, solve

Planner = Callable[[Problem], Plan]


def planned(result: Result) -> Plan:
    assert isinstance(result, Planned), result
    return result.plan


@pytest.fixture(params=["cpsat", "front door"])
def planner(request: pytest.FixtureRequest) -> Planner:
    """The constraint model by itself, and the front door: half a second of the engine, then the proof."""
    if request.param == "cpsat":
        return lambda problem: planned(prove(problem, hint=None, seconds=10, workers=1, seed=1))
    return lambda problem: planned(solve(problem, stop=Seconds(2), workers=1, backend="python"))
