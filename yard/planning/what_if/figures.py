"""What a plan comes to, in few figures that can stand beside those of another."""

from __future__ import annotations

from dataclasses import dataclass

from yard.planning.capacity import Row, capacity
from yard.planning.fit import last_days
from yard.planning.plan import Plan, score
from yard.planning.problem import Problem


@dataclass(frozen=True, slots=True)
class LateOrder:
    """An order by key, and working days late; left_out: it, or some of it, has no place at all."""

    key: str
    days: int
    left_out: bool


@dataclass(frozen=True, slots=True)
class Figures:
    """As `plan.score` counts.  late: the latest first.  skills: by skill and week; everybody: all people's."""

    cost: int
    weighted_days_late: int
    days_of_flow: int
    left_out: int
    late: tuple[LateOrder, ...]
    skills: tuple[Row, ...]
    everybody: Row


def figures_of(problem: Problem, plan: Plan) -> Figures:
    found, load = score(problem, plan), capacity(problem, plan)
    return Figures(
        found.cost,
        found.weighted_days_late,
        found.days_of_flow,
        found.left_out,
        _late(problem, plan),
        load.skills,
        load.everybody,
    )


def _late(problem: Problem, plan: Plan) -> tuple[LateOrder, ...]:
    last, placed = last_days(problem, plan), plan.by_job()
    missing = {job.order for number, job in enumerate(problem.jobs) if number not in placed}
    end = problem.calendar.days - 1
    days = {
        number: (end if number in missing else last.get(number, order.due_day)) - order.due_day
        for number, order in enumerate(problem.orders)
    }
    late = [number for number in days if days[number] > 0 or number in missing]
    rows = (LateOrder(problem.orders[n].key, max(0, days[n]), n in missing) for n in late)
    return tuple(sorted(rows, key=lambda row: (-row.days, row.key)))
