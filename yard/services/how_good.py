"""How good a plan is: what no plan of its season can be better than, proved by the worker and kept with the plan."""

from __future__ import annotations

import logging
import math
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _

from yard.models import FactsRevision, Plan, PlanBound
from yard.planning.backend import BackendMissing, default
from yard.planning.bound import By, compile_program, lower_bound
from yard.planning.plan import PlanInvalid, Score, read_plan_json, score
from yard.planning.problem import CostRates, Problem, ProblemInvalid, read_problem_json
from yard.planning.progress import Seconds
from yard.services.asking import Clock, beat, begin, end, goes_on, plan_waits, wait_again
from yard.tasks import prove_bound

log = logging.getLogger(__name__)

SECONDS = 30.0
"""For the bounds of cost (half), days late and days of flow (a quarter each)."""
LOOK_S = 1.0
SCALE = 100  # a day late counts so much while its bound is sought, so that prices can divide it


@dataclass(frozen=True, slots=True)
class Proved:
    """Bounds, each valid for every plan by itself. by: what proved the cost."""

    cost: int
    weighted_days_late: int
    days_of_flow: int
    by: By


def ask_how_good(plan: Plan, *, by: User | None, now: datetime) -> PlanBound:
    """Have the worker prove a bound; while one waits or is worked on, that one. now: the real clock or the yard's."""
    with transaction.atomic():
        FactsRevision.objects.filter(pk=1).update(count=F("count"))  # the lock: two people may ask at once
        known = PlanBound.objects.filter(plan=plan, state__in=["asked", "working"]).first()
        if known is not None and goes_on(known, now):
            return known
        row = PlanBound.objects.create(plan=plan, asked_by=by, asked_at=now)
        prove_bound.enqueue(row.pk)
    return row


def work_out(bound_id: int, *, clock: Clock, should_leave: Callable[[], bool]) -> None:
    """What the worker does. A plan that somebody waits for goes first: the bound is begun again after it."""
    row = PlanBound.objects.select_related("plan").filter(pk=bound_id).first()
    if row is None or not begin(row, clock()):
        return
    looked = time.monotonic()
    gave_way = False

    def should_stop() -> bool:
        nonlocal looked, gave_way
        if time.monotonic() - looked >= LOOK_S:
            looked = time.monotonic()
            beat(row, clock())
            gave_way = gave_way or plan_waits()
        return gave_way or should_leave()

    began = time.monotonic()
    try:
        problem = read_problem_json(row.plan.problem)
        found = prove(problem, score(problem, read_plan_json(row.plan.plan)), SECONDS, should_stop)
    except (ProblemInvalid, PlanInvalid) as error:
        end(row, clock(), _("The season of this plan cannot be read any more: {error}").format(error=error))
        return
    except Exception:
        end(row, clock(), _("The bound failed and nothing was changed. The log has the rest."))
        raise
    if gave_way:
        with transaction.atomic():
            wait_again(row)
            prove_bound.enqueue(row.pk)
        return
    PlanBound.objects.filter(pk=row.pk).update(
        cost=found.cost,
        weighted_days_late=found.weighted_days_late,
        days_of_flow=found.days_of_flow,
        by=found.by,
        seconds=round(time.monotonic() - began, 1),
    )
    end(row, clock())


def prove(
    problem: Problem, known: Score, seconds: float, should_stop: Callable[[], bool], backend: str | None = None
) -> Proved:
    """Three bounds, the better the longer; valid whenever it is stopped. known: the plan's figures."""
    if (backend or default()) == "numba":
        with suppress(BackendMissing):
            compile_program()

    def bound(rates: CostRates, value: int, share: float) -> tuple[int, By]:
        season = replace(problem, rates=rates)
        found = lower_bound(
            season, stop=Seconds(seconds * share), known=value, workers=1, backend=backend, should_stop=should_stop
        )
        return found.cost, found.by

    late, _ = bound(CostRates(late_day=SCALE, flow_day=0), SCALE * known.weighted_days_late, 0.25)
    flow, _ = bound(CostRates(late_day=0, flow_day=SCALE), SCALE * known.days_of_flow, 0.25)
    least_late, least_flow = math.ceil(late / SCALE), math.ceil(flow / SCALE)
    cost, by = bound(problem.rates, known.cost, 0.5)
    apart = problem.rates.late_day * least_late + problem.rates.flow_day * least_flow
    return Proved(max(cost, apart), least_late, least_flow, by)


def best_bound(plan: Plan) -> PlanBound | None:
    """The best that was proved of it, each figure the best of all proofs; None where none is done. One query."""
    done = list(plan.bounds.filter(state=PlanBound.State.DONE))
    if not done:
        return None
    best = max(done, key=lambda row: row.cost)
    best.weighted_days_late = max(row.weighted_days_late for row in done)
    best.days_of_flow = max(row.days_of_flow for row in done)
    return best
