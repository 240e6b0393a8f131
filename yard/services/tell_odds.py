"""Simulate the posted plan and keep what was found: how sure each day is, and why."""

from __future__ import annotations

import logging
import time
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import DayOdds, Job, Plan, PlanOdds, YardSettings
from yard.promise.odds import DEFAULT_SCENARIOS, MilestoneOdds, Odds, odds
from yard.queries.clock import yard_clock
from yard.services.promise_input import PromiseInput, promise_input
from yard.services.read_problem import ReadProblem, YardNotReady, read_problem

log = logging.getLogger(__name__)


class NoPlanPosted(Exception):
    """Nothing hangs on the wall, so there are no days to be sure of."""


def tell_odds(*, now: datetime, seed: int = 1, scenarios: int = DEFAULT_SCENARIOS) -> PlanOdds:
    """Simulate the plan on the wall and store the odds of its days; nothing is stored if it fails.

    Raises NoPlanPosted, YardNotReady (the facts do not make a season), ValueError (no scenario).
    """
    plan = Plan.objects.filter(state=Plan.State.POSTED).order_by("id").first()
    if plan is None:
        raise NoPlanPosted(_("No plan is posted yet: post one, then ask how sure its days are."))
    began = time.monotonic()
    read = read_problem(now=now)
    given = promise_input(plan, read)
    found = odds(given.season, scenarios=scenarios, seed=seed, doubt=given.doubt)
    return _store(plan, read, given, found, now=now, seconds=time.monotonic() - began)


@transaction.atomic
def _store(
    plan: Plan, read: ReadProblem, given: PromiseInput, found: Odds, *, now: datetime, seconds: float
) -> PlanOdds:
    row = PlanOdds.objects.create(
        plan=plan,
        made_at=now,
        scenarios=found.scenarios,
        seed=found.seed,
        seconds=round(seconds, 3),
        rests_on=given.rests_on,
    )
    DayOdds.objects.bulk_create(
        _day(row, read, job, milestone, each)
        for (job, milestone), each in zip(given.marks, found.milestones, strict=True)
    )
    return row


def _day(row: PlanOdds, read: ReadProblem, job: Job, milestone: str, each: MilestoneOdds) -> DayOdds:
    day_50, day_80, day_90, day_95 = (_date(read, day) for day in each.days)
    return DayOdds(
        odds=row,
        order_id=job.order_id,
        job=job,
        milestone=milestone,
        planned_date=read.axis.date_of(each.planned_day),
        day_50=day_50,
        day_80=day_80,
        day_90=day_90,
        day_95=day_95,
        promised_date=None if each.chance_kept is None else job.order.promised_date,
        chance_kept=each.chance_kept,
        drivers=[{"cause": driver.cause, "name": driver.name, "share": driver.share} for driver in each.drivers],
        chances=_chances(read, each),
    )


def _date(read: ReadProblem, day: int) -> date | None:
    """The date of an axis day; None for one beyond the calendar."""
    return read.axis.date_of(day) if day < len(read.axis.dates) else None


def _chances(read: ReadProblem, each: MilestoneOdds) -> list[list[object]]:
    found: list[list[object]] = []
    done, total = 0, sum(each.counts)
    for number, count in enumerate(each.counts):
        done += count
        at = _date(read, each.first_day + number)
        if count and at is not None:
            found.append([at.isoformat(), round(done / total, 4)])
    return found


def tell_odds_of_posted(plan_id: int, *, real_now: datetime) -> None:
    """What the worker does after a plan was posted; nothing where that plan hangs there no more."""
    if not Plan.objects.filter(pk=plan_id, state=Plan.State.POSTED).exists():
        return
    yard = YardSettings.objects.filter(pk=1).first() or YardSettings()
    try:
        tell_odds(now=yard_clock(yard, real_now=real_now))
    except YardNotReady as error:
        log.warning("plan %s: its days cannot be simulated: %s", plan_id, error)
