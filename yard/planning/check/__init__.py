"""Judges a plan from the raw facts, in clock minutes.

It shares nothing with the planner, not even its calendar: what one of them gets wrong, the other finds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from yard.planning.check import people, places, times, whole
from yard.planning.check.breach import NEVER_WAIVED_WINDOWS, WAIVABLE, Breach, waived
from yard.planning.check.case import Case
from yard.planning.plan import Plan
from yard.planning.problem import Problem

__all__ = ["CHECKS", "NEVER_WAIVED_WINDOWS", "WAIVABLE", "Breach", "check", "faults"]

CHECKS: dict[str, Callable[[Case], Iterator[Breach]]] = {
    "hours": people.hours,
    "slides": people.slides,
    "double_booking": people.double_booking,
    "crew": people.crew,
    "alone": people.alone,
    "places": places.places,
    "closed": places.closed,
    "charge": places.charge,
    "windows": times.windows,
    "release": times.release,
    "waits": times.waits,
    "boat": places.boat,
    "stays": places.stays,
    "pins": whole.pins,
    "complete": whole.complete,
    "span": times.span,
}


def check(problem: Problem, plan: Plan) -> tuple[Breach, ...]:
    """Every breach of every rule. Never raises for a bad plan: what cannot be read is a breach as well."""
    case = Case(problem, plan)
    return tuple(breach for rule in CHECKS for breach in CHECKS[rule](case))


def faults(problem: Problem, plan: Plan) -> tuple[Breach, ...]:
    """The breaches that a planner answers for: not waived, and not between pinned jobs alone."""
    return tuple(
        breach for breach in check(problem, plan) if not breach.pins_alone and not waived(breach, problem.waivers)
    )
