"""A last day that does not bind: work before the first freeze becomes a due date of its own, that is, it costs.

Where the day binds it is a limit of the job's start (jobs.py). Where it does not, the job is taken out of its order for
the count of lateness and stands in a unit of its own that is due that day and counts as the order does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from django.utils.translation import gettext as _

from yard.models import Job
from yard.planning import problem as planner
from yard.services.read_problem.axis import Axis

WINTERISE = "winterise"


def does_not_bind(row: Job, *, freeze_binds: bool) -> bool:
    """Whether the job's last day is a wish."""
    return row.finish_by_date is not None and row.kind.key == WINTERISE and not freeze_binds


def with_freeze_dates(
    problem: planner.Problem, orders: Sequence[int], rows: Sequence[Job], axis: Axis, *, freeze_binds: bool
) -> tuple[planner.Problem, tuple[int, ...]]:
    """The Problem, and the row id of each of its orders, with the wishes as units of lateness."""
    jobs, units, ids = list(problem.jobs), list(problem.orders), list(orders)
    for index, row in enumerate(rows):
        if not does_not_bind(row, freeze_binds=freeze_binds) or row.finish_by_date is None:
            continue
        order = units[jobs[index].order]
        name = _("{order}: before the first freeze").format(order=order.name)
        day = axis.due_day(row.finish_by_date)
        units.append(planner.Order(key=f"freeze-{row.pk}", name=name, due_day=day, goes_first=order.goes_first))
        jobs[index] = replace(jobs[index], order=len(units) - 1)
        ids.append(row.order_id)
    if len(units) == len(problem.orders):
        return problem, tuple(orders)
    return replace(problem, jobs=tuple(jobs), orders=tuple(units)), tuple(ids)
