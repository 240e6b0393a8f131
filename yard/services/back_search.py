"""Ways back for the late boats of the posted plan: tried by the worker, kept for that plan and those facts."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import datetime
from typing import TypedDict

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.models import BackAnswer, BackSearch, FactsRevision, Plan, YardSettings
from yard.planning.fit import last_days
from yard.planning.plan import Plan as PlannerPlan
from yard.planning.problem import Problem, ProblemInvalid
from yard.planning.ways_back import WayBack, stand, ways_back
from yard.queries.clock import yard_clock
from yard.queries.plans import posted_plan
from yard.services.asking import Clock, beat, begin, end, goes_on, plan_waits, wait_again
from yard.services.read_problem import ReadProblem, YardNotReady, read_problem
from yard.services.stored_plan import plan_to_mend
from yard.tasks import find_ways_back

WITHIN_S = 8.0
"""A boat's list takes about a second on a quiet machine; a slow one has more."""


class ToldWay(TypedDict):
    """In words, how many working days sooner, whether she is on time by it, and whom it asks or moves."""

    says: str
    gains_days: int
    on_time: bool
    disturbs: str


def ask_ways_back(*, by: User | None, now: datetime) -> BackSearch | None:
    """Have the worker try; what was found for this plan and these facts stands. None where no plan is posted.

    now: the real clock.
    """
    with transaction.atomic():
        FactsRevision.objects.filter(pk=1).update(count=F("count"))  # the lock: two people may ask at once
        plan = posted_plan()
        if plan is None:
            return None
        known = newest_search(plan)
        if known is not None and (known.state == BackSearch.State.DONE or goes_on(known, now)):
            return known
        row = BackSearch.objects.create(plan=plan, facts_revision=facts_count(), asked_by=by, asked_at=now)
        find_ways_back.enqueue(row.pk)
    return row


def newest_search(plan: Plan) -> BackSearch | None:
    """What was asked last for this plan and the facts as they are. Two queries."""
    return BackSearch.objects.filter(plan=plan, facts_revision=facts_count()).order_by("-id").first()


def facts_count() -> int:
    return FactsRevision.objects.filter(pk=1).values_list("count", flat=True).first() or 0


def work_out(search_id: int, *, clock: Clock, should_leave: Callable[[], bool]) -> None:
    """What the worker does, a boat at a time; each answer stands as soon as it is found."""
    row = BackSearch.objects.select_related("plan").filter(pk=search_id).first()
    if row is None or not begin(row, clock()):
        return
    if row.plan.state != Plan.State.POSTED:
        end(row, clock(), _("Another plan was posted meanwhile: ask again."))
        return
    try:
        read = read_problem(now=yard_clock(YardSettings.objects.get(), real_now=clock()))
        if _answer_all(row, read, plan_to_mend(row.plan, read), clock, should_leave):
            end(row, clock())
        else:
            with transaction.atomic():
                wait_again(row)
                find_ways_back.enqueue(row.pk)
    except (YardNotReady, ProblemInvalid) as error:
        end(row, clock(), str(error))
    except Exception:
        end(row, clock(), _("Trying failed and nothing was changed. The log has the rest."))
        raise


def _answer_all(
    row: BackSearch, read: ReadProblem, plan: PlannerPlan, clock: Clock, should_leave: Callable[[], bool]
) -> bool:
    """False where something that cannot wait came, or the worker was asked to end."""
    late = late_boats(read.problem, plan)
    BackSearch.objects.filter(pk=row.pk).update(boats=len(late))
    done = set(row.answers.values_list("order_id", flat=True))
    standing = stand(read.problem, plan) if late else None
    for boat, (order, days) in late.items():
        if read.orders[order] in done:
            continue
        if should_leave() or plan_waits():
            return False
        began = time.monotonic()
        found = ways_back(read.problem, plan, boat, within_s=WITHIN_S, standing=standing)
        took = time.monotonic() - began
        BackAnswer.objects.create(
            search=row,
            order_id=read.orders[order],
            days_late=days,
            ways=[told(read.problem, way) for way in found],
            seconds=round(took, 2),
            whole=took < WITHIN_S,
        )
        beat(row, clock())
    return True


def late_boats(problem: Problem, plan: PlannerPlan) -> dict[int, tuple[int, int]]:
    """By boat, the latest first: her latest order and its working days late (to the calendar's end if not planned)."""
    last, placed = last_days(problem, plan), plan.by_job()
    missing = {job.order for number, job in enumerate(problem.jobs) if number not in placed}
    found: dict[int, tuple[int, int]] = {}
    for job in problem.jobs:
        ends = problem.calendar.days - 1 if job.order in missing else last[job.order]
        days = ends - problem.orders[job.order].due_day
        if days > 0 and days > found.get(job.boat, (0, 0))[1]:
            found[job.boat] = (job.order, days)
    return dict(sorted(found.items(), key=lambda item: -item[1][1]))


def _moved_words(boat: str, days: int, kept: bool) -> str:
    if not days:
        return _("{boat} on other hours, her day as it is").format(boat=boat)
    words = (
        ngettext("{boat} {n} working day later, still on time", "{boat} {n} working days later, still on time", days)
        if kept
        else ngettext("{boat} {n} working day later, late by it", "{boat} {n} working days later, late by it", days)
    )
    return words.format(boat=boat, n=days)


def told(problem: Problem, way: WayBack) -> ToldWay:
    boats = [_moved_words(problem.boats[boat].name, days, kept) for boat, days, kept in way.boats]
    people = [problem.people[person].name or problem.people[person].key for person in way.people]
    return ToldWay(
        says=way.says,
        gains_days=way.gains_days,
        on_time=way.on_time,
        disturbs="; ".join(boats)
        or (_("asks {people}").format(people=_(" and ").join(people)) if people else _("nobody else")),
    )
