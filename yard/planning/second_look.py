"""A second method for whatever the first found no room for: "impossible" is told to nobody before both agree."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from yard.planning.plan import Infeasible, OutOfTime, Plan, Planned
from yard.planning.problem import Problem

CONFIRM_S = 2.0


@dataclass(frozen=True, slots=True)
class Look:
    """plan: the one that was found; it keeps every rule. None unless `said` is "possible"."""

    said: Literal["impossible", "possible", "not known"]
    plan: Plan | None = None


def look_again(problem: Problem, *, seconds: float = CONFIRM_S) -> Look:
    """What the constraint solver says, which shares no search with the engine.

    It says "impossible" only after two searches, one of them without presolve.  Pinned jobs are facts, so a small
    Problem of one boat is the question of a yard that is empty, or that stands as it is planned.
    """
    from yard.planning.cpsat import prove

    match prove(problem, hint=None, seconds=seconds, workers=1, seed=1):
        case Infeasible():
            return Look("impossible")
        case Planned(plan=plan):
            return Look("possible", plan)
        case OutOfTime():
            return Look("not known")
