"""Between a what-if's row and the planner: what is planned, and what of the answer is kept."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import msgspec

from yard.models import Plan, PlanRun, WhatIf
from yard.planning.plan import Plan as PlannerPlan
from yard.planning.plan import write_plan_json
from yard.planning.problem import Problem, write_problem_json
from yard.planning.what_if import Change, PlannedBeside, changed, figures_of
from yard.services.plan_process import WHAT_IF_SOLVER, SolveOrder
from yard.services.read_problem import ReadProblem
from yard.services.stored_plan import plan_to_mend


def what_if_order(what_if: WhatIf, read: ReadProblem, order: SolveOrder) -> SolveOrder:
    """The same order for the season and for its changed copy.  Raises ChangeImpossible."""
    change = planners_change(what_if.change, read.problem)
    changed(read.problem, change)
    return replace(order, solver=WHAT_IF_SOLVER, options={"change": msgspec.to_builtins(change)})


def planners_change(stored: dict[str, Any], problem: Problem) -> Change:
    """As the row has it, with its dates as axis days: first and last (both included) become first_day and until_day."""
    facts = dict(stored)
    if "first" in facts:
        first, last = facts.pop("first"), facts.pop("last")
        names = problem.calendar.day_names
        facts["first_day"] = next((day for day, name in enumerate(names) if name >= first), len(names))
        facts["until_day"] = next((day for day, name in enumerate(names) if name > last), len(names))
    change: Change = msgspec.convert(facts, Change)
    return change


def keep_what_if(run: PlanRun, read: ReadProblem, found: PlannedBeside) -> None:
    """Store both plans' figures beside those of the posted one; the row is ready to decide on."""
    row = WhatIf.objects.select_for_update().get(run=run, state=WhatIf.State.ASKED)
    other = changed(read.problem, planners_change(row.change, read.problem))
    posted = Plan.objects.filter(state=Plan.State.POSTED).first()
    figures = {
        "posted": None if posted is None else side(read, read.problem, plan_to_mend(posted, read)),
        "same": side(read, read.problem, found.same.plan),
        "changed": side(read, other, found.changed.plan),
    }
    WhatIf.objects.filter(pk=row.pk).update(
        state=WhatIf.State.READY,
        figures=figures,
        facts_revision=read.revision,
        based_on=posted,
        problem=write_problem_json(other).decode(),
        plan=write_plan_json(found.changed.plan).decode(),
    )


def side(read: ReadProblem, problem: Problem, plan: PlannerPlan) -> dict[str, Any]:
    """One plan's figures as plain values.

    {cost, weighted_days_late, days_of_flow, left_out, late: [[order id, days, left out]], weeks: [monday],
    skills: {key: [[hours used, hours usable] by week]}, everybody: the same}
    """
    found = figures_of(problem, plan)
    orders = {order.key: pk for order, pk in zip(read.problem.orders, read.orders, strict=True)}
    mondays = [_monday(problem, week.first_day) for week in found.everybody.weeks]
    return {
        "cost": found.cost,
        "weighted_days_late": found.weighted_days_late,
        "days_of_flow": found.days_of_flow,
        "left_out": found.left_out,
        "late": [[orders[late.key], late.days, late.left_out] for late in found.late],
        "weeks": mondays,
        "skills": {row.key: _hours(row.weeks) for row in found.skills},
        "everybody": _hours(found.everybody.weeks),
    }


def _hours(weeks: Any) -> list[list[float]]:
    return [[round(week.used / 60, 1), round(week.usable / 60, 1)] for week in weeks]


def _monday(problem: Problem, day: int) -> str:
    named = date.fromisoformat(problem.calendar.day_names[day])
    return date.fromordinal(named.toordinal() - named.weekday()).isoformat()


def what_if_failed(run: PlanRun) -> None:
    """The run ended without plans; its own row says why."""
    WhatIf.objects.filter(run=run, state=WhatIf.State.ASKED).update(state=WhatIf.State.FAILED)
