"""manage.py plan_season: plan all open work, check it, save it, and post it on request."""

from __future__ import annotations

import json
import time
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.management.on_tables import OnTables
from yard.models import YardSettings
from yard.planning.listing import list_plan
from yard.planning.plan import Infeasible, OutOfTime, Planned, score
from yard.planning.progress import Progress, Seconds
from yard.planning.solve import solve
from yard.queries.clock import yard_clock
from yard.services.read_problem import ReadProblem, YardNotReady, read_problem
from yard.services.read_problem.asked_haul import is_asked_haul
from yard.services.save_plan import Making, PlanRefused, post_plan, save_plan
from yard.services.stored_plan import plan_on_the_wall
from yard.speech import number

PHASES = {  # by the word that the planner reports
    "compiling": gettext_lazy("compiling"),
    "first plan": gettext_lazy("first plan"),
    "improving": gettext_lazy("improving"),
    "proving": gettext_lazy("proving"),
}


class Command(OnTables):
    help = "Plans all open work from the yard's facts, checks the plan and saves it as a draft."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--seconds", type=float, default=60.0, help="how long to improve the plan")
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--workers", type=int, default=2)
        parser.add_argument("--post", action="store_true", help="put the plan on the wall if it holds")
        parser.add_argument("--json", action="store_true", help="print the figures as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        began = time.monotonic()
        yard = YardSettings.objects.filter(pk=1).first() or YardSettings()
        now = yard_clock(yard, real_now=timezone.now())
        try:
            read = read_problem(now=now)
        except YardNotReady as error:
            raise CommandError(str(error)) from error
        quiet = options["json"]
        result = solve(
            read.problem,
            stop=Seconds(options["seconds"]),
            seed=options["seed"],
            workers=options["workers"],
            on_progress=None if quiet else self._tell,
            start=plan_on_the_wall(read),
        )
        planned = _planned(result)
        try:
            plan = save_plan(read, planned, Making(by=None, now=now, seed=options["seed"]))
        except PlanRefused as error:
            said = _("The plan breaks a rule and was not saved:")
            raise CommandError("\n".join([said, *error.faults[:20]])) from error
        if options["post"]:
            post_plan(plan, by=None, now=now)
        figures = _figures(read, planned, time.monotonic() - began)
        self.stdout.write(json.dumps(figures) if quiet else _sentence(figures))

    def _tell(self, progress: Progress) -> None:
        said = str(PHASES[progress.phase])
        if progress.cost is not None:
            said = _("{phase}, cost {cost}, {late} late").format(
                phase=said, cost=progress.cost, late=progress.late_orders
            )
        self.stderr.write(f"{progress.elapsed_s:6.1f} s  {said}")


def _planned(result: object) -> Planned:
    match result:
        case Planned():
            return result
        case Infeasible(reasons=reasons):
            raise CommandError(_("No plan is possible: {reasons}").format(reasons="; ".join(reasons)))
        case OutOfTime(seconds=seconds):
            raise CommandError(
                _("No plan was found in {seconds} s: give it more with --seconds.").format(seconds=f"{seconds:.0f}")
            )
        case _:
            raise TypeError(f"not a planner's result: {result!r}")


def _figures(read: ReadProblem, planned: Planned, seconds: float) -> dict[str, Any]:
    placed = {placement.job for placement in planned.plan.placements}
    return {
        "jobs": len(read.problem.jobs),
        "jobs_unplaced": len(read.problem.jobs) - len(placed),
        "jobs_held": len(read.held),
        "boats": len({job.boat for job in read.problem.jobs}),
        "boats_late": _boats_late(read, planned, hauls=False),
        "boats_hauled_late": _boats_late(read, planned, hauls=True),
        "boats_left_out": planned.score.left_out,
        "orders_late": planned.score.late_orders,
        "weighted_days_late": planned.score.weighted_days_late,
        "days_of_flow": planned.score.days_of_flow,
        "cost": planned.score.cost,
        "list_cost": score(read.problem, list_plan(read.problem)).cost,
        "seconds": round(seconds, 1),
    }


def _boats_late(read: ReadProblem, planned: Planned, *, hauls: bool) -> int:
    """Late with an order; hauls: out of the water later than the day that was asked for."""
    per_day, problem = read.problem.calendar.quarters_per_day, read.problem
    late = set()
    for placement in planned.plan.placements:
        job = problem.jobs[placement.job]
        unit = problem.orders[job.order]
        if is_asked_haul(unit) is hauls and (placement.ends_at - 1) // per_day > unit.due_day:
            late.add(job.boat)
    return len(late)


def _sentence(figures: dict[str, Any]) -> str:
    said = (
        _(
            "{jobs} jobs of {boats} boats planned in {seconds} s: {boats_late} boats late, {boats_hauled_late} hauled "
            "after the day asked for, {boats_left_out} left out, {jobs_held} jobs wait on a fact. Cost {cost}; taken "
            "by due date alone {list_cost}."
        )
        if figures["boats_hauled_late"]
        else _(
            "{jobs} jobs of {boats} boats planned in {seconds} s: {boats_late} boats late, {boats_left_out} left out, "
            "{jobs_held} jobs wait on a fact. Cost {cost}; taken by due date alone {list_cost}."
        )
    )
    return said.format(**(figures | {"seconds": number(figures["seconds"], 1)}))
