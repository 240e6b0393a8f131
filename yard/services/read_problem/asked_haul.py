"""The day on which an owner asked to have a boat out: her haul is late after it, whatever else the order has to do.

An order's own day (promised, latest, asked) is that of its last job, which after a haul may be a winter cover weeks
later. So the haul is taken out of its order for the count of lateness and stands in a unit of its own that is due on
the day that was asked for and counts as the order does; the store plan looks at the same day (services/stowing).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from django.utils.translation import gettext as _

from yard.models import Job
from yard.planning import problem as planner
from yard.services.read_problem.axis import Axis

HAUL = "haul"
_KEY = "haul-"


def is_asked_haul(unit: planner.Order) -> bool:
    """Whether a unit of lateness is a haul's own: no order is called so."""
    return unit.key.startswith(_KEY)


def with_asked_hauls(
    problem: planner.Problem, orders: Sequence[int], rows: Mapping[int, Job], axis: Axis
) -> tuple[planner.Problem, tuple[int, ...]]:
    """The Problem, and the row id of each of its orders, with the hauls asked for as units of lateness.

    rows: of the jobs to look at, by their index in the Problem.
    """
    jobs, units, ids = list(problem.jobs), list(problem.orders), list(orders)
    for index, row in rows.items():
        asked = row.order.wanted_date
        if row.kind.key != HAUL or asked is None:
            continue
        order = units[jobs[index].order]
        name = _("{order}: hauled by the day asked for").format(order=order.name)
        key, day = f"{_KEY}{row.pk}", axis.due_day(asked)
        units.append(planner.Order(key=key, name=name, due_day=day, goes_first=order.goes_first))
        jobs[index] = replace(jobs[index], order=len(units) - 1)
        ids.append(row.order_id)
    if len(units) == len(problem.orders):
        return problem, tuple(orders)
    return replace(problem, jobs=tuple(jobs), orders=tuple(units)), tuple(ids)
