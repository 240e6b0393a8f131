"""A plan: who does what, where, when. Plain values, positions on the Problem's axis."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import msgspec

from yard.planning.problem import Problem

Ended = Literal["proved", "time", "rounds", "stopped"]
"""What ended a search."""


class PlanInvalid(ValueError):
    """A plan that cannot be read, or that names what its Problem does not have."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """One job as planned.

    starts_at, ends_at: axis positions, half-open; for paused and elapsed jobs the span holds its pauses, and
    `ends_at` is one past the last axis position that the job occupies.
    people: indices, in the order of the way's crew (all of the first need, then of the second ...).
    places: (place, unit) in the order of the way's place needs, one entry for each unit.
    """

    job: int
    way: int
    starts_at: int
    ends_at: int
    people: tuple[int, ...] = ()
    places: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class StayAt:
    """Where a stay is spent: `stay` is an index of Problem.stays."""

    stay: int
    place: int
    unit: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A boat that could not be placed, with the rule that stops her and where it bites."""

    boat: int
    rule: str
    job: int | None
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """placements in rising order of job; a boat of `left_out` has none but pinned ones."""

    placements: tuple[Placement, ...]
    stays: tuple[StayAt, ...] = ()
    left_out: tuple[LeftOut, ...] = ()

    def berths(self) -> dict[int, int]:
        """The place of each stay, by stay."""
        return {row.stay: row.place for row in self.stays}

    def by_job(self) -> dict[int, Placement]:
        return {placement.job: placement for placement in self.placements}


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """What a plan costs: `cost` = late_day x weighted_days_late + flow_day x days_of_flow."""

    cost: int
    late_orders: int
    weighted_days_late: int
    days_of_flow: int
    left_out: int


@dataclass(frozen=True, slots=True)
class Planned:
    """A valid plan. `bound`: no plan costs less (0 where nothing is proved). `proved`: none is better."""

    plan: Plan
    score: Score
    bound: int
    proved: bool
    seconds: float
    ended: Ended


@dataclass(frozen=True, slots=True)
class Infeasible:
    """Proved: no plan that places every boat exists."""

    reasons: tuple[str, ...]
    seconds: float


@dataclass(frozen=True, slots=True)
class OutOfTime:
    """Nothing found in the time given, and nothing proved."""

    seconds: float


Result = Planned | Infeasible | OutOfTime

_decoder = msgspec.json.Decoder(Plan)


def read_plan_json(data: bytes | str) -> Plan:
    try:
        return _decoder.decode(data)
    except (msgspec.DecodeError, RecursionError) as error:  # the second from brackets nested past all reason
        raise PlanInvalid(str(error)) from error


def write_plan_json(plan: Plan) -> bytes:
    return msgspec.json.encode(plan)


def plan_schema() -> dict[str, object]:
    return msgspec.json.schema(Plan)


def score(problem: Problem, plan: Plan) -> Score:
    """The cost of a plan, worked out from its placements alone.

    An order without a placed job costs as if she finished on the last day of the calendar, with flow from the
    first day on which she could have begun.
    """
    per_day = problem.calendar.quarters_per_day
    first: dict[int, int] = {}
    last: dict[int, int] = {}
    for placement in plan.placements:
        order = problem.jobs[placement.job].order
        begins, ends = placement.starts_at // per_day, (placement.ends_at - 1) // per_day
        first[order] = min(first.get(order, begins), begins)
        last[order] = max(last.get(order, ends), ends)
    missing = {problem.jobs[index].order for index in _unplaced_jobs(problem, plan)}
    late_orders = weighted = flow = 0
    for index, order_row in enumerate(problem.orders):
        if index in missing:
            last[index] = problem.calendar.days - 1
            first.setdefault(index, _release_day(problem, index))
        if index not in last:
            continue  # an order without open jobs
        begins = first[index] if order_row.began_day is None else min(order_row.began_day, first[index])
        days_late = max(0, last[index] - order_row.due_day)
        late_orders += days_late > 0
        weighted += order_row.goes_first * days_late
        flow += last[index] - begins
    return Score(
        cost=problem.rates.late_day * weighted + problem.rates.flow_day * flow,
        late_orders=late_orders,
        weighted_days_late=weighted,
        days_of_flow=flow,
        left_out=len(plan.left_out),
    )


def _unplaced_jobs(problem: Problem, plan: Plan) -> set[int]:
    return set(range(len(problem.jobs))) - {placement.job for placement in plan.placements}


def _release_day(problem: Problem, order: int) -> int:
    """The first axis day on which the order's earliest job may start."""
    starts = problem.calendar.day_starts
    length = problem.calendar.quarters_per_day * 15
    releases = [job.not_before for job in problem.jobs if job.order == order]
    if any(release is None for release in releases):
        return 0
    release = min(value for value in releases if value is not None)
    return next((day for day, start in enumerate(starts) if start + length > release), len(starts) - 1)
