"""The planners through which each rule is tried."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from yard.planning.cpsat import prove
from yard.planning.plan import Plan, Planned, Result
from yard.planning.problem import Problem

Planner = Callable[[Problem], Plan]


def planned(result: Result) -> Plan:
    assert isinstance(result, Planned), result
    return result.plan


@pytest.fixture(params=["cpsat"])
def planner(request: pytest.FixtureRequest) -> Planner:
    return lambda problem: planned(prove(problem, hint=None, seconds=10, workers=1, seed=1))
