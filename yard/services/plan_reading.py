"""What is worked out of a plan when it is saved, because it takes too long for a page: why each order ends when it
does, and how full everybody's weeks are."""

from __future__ import annotations

from collections import Counter

from yard.models import Plan, PlannedCause, PlannedWeek
from yard.planning import plan as planner_plan
from yard.planning.causes import Cause, causes
from yard.planning.load import person_weeks
from yard.services.read_problem import ReadProblem

DETAIL_ROOM = 200


def write_causes(read: ReadProblem, plan: planner_plan.Plan, row: Plan) -> None:
    """The reasons of every order of the plan. About 2 ms an order."""
    count: Counter[int] = Counter()  # an order with a last day of its own stands twice among the planner's
    rows = []
    for order, reasons in causes(read.problem, plan).items():
        for cause in reasons:
            rows.append(_cause(read, row, read.orders[order], count[read.orders[order]], cause))
            count[read.orders[order]] += 1
    PlannedCause.objects.bulk_create(rows)


def _cause(read: ReadProblem, row: Plan, order: int, number: int, cause: Cause) -> PlannedCause:
    timeline = read.axis.timeline
    could = cause.could_start_at
    ready = timeline.ends_at(cause.ready_at) if cause.kind == "wait" else timeline.starts_at(cause.ready_at)
    return PlannedCause(
        plan=row,
        order_id=order,
        job_id=read.jobs[cause.job],
        sequence=number,
        kind=cause.kind,
        detail=cause.detail[:DETAIL_ROOM],
        ready_at=ready,
        starts_at=max(ready, timeline.starts_at(cause.starts_at)),
        days=cause.days,
        could_start_at=None if could is None else timeline.starts_at(could),
    )


def write_weeks(read: ReadProblem, plan: planner_plan.Plan, row: Plan) -> None:
    PlannedWeek.objects.bulk_create(
        PlannedWeek(
            plan=row,
            person_id=read.people[week.person],
            monday=week.monday,
            planned_min=week.planned_min,
            available_min=week.available_min,
        )
        for week in person_weeks(read.problem, plan)
    )
