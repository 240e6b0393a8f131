"""What became of a boat's jobs from plan to plan, and what happened in the yard since a moment."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch, Q

from yard.models import (
    Boat,
    DayClosing,
    Event,
    HandChange,
    Job,
    Plan,
    PlannedJob,
    PlannedPerson,
    Proposal,
    Telling,
    Whereabouts,
)

NUMBERED = Plan.objects.filter(number__isnull=False).defer("problem", "plan").select_related("posted_by")
MOST = 300


@dataclass(frozen=True)
class BoatHistory:
    """plans: by id. planned: her jobs in every plan that was posted, by plan's number. why: by plan, in sentences."""

    plans: dict[int, Plan]
    planned: tuple[PlannedJob, ...]
    why: dict[int, str]
    by_hand: dict[tuple[int, int], HandChange]
    events: tuple[Event, ...]
    told: tuple[Telling, ...]
    lies: tuple[Whereabouts, ...]


def boat_history(boat: Boat, *, with_told: bool) -> BoatHistory:
    """Nine queries at most, however many plans and jobs. with_told: what her owner was told too."""
    jobs = list(Job.objects.filter(order__boat=boat).values_list("pk", flat=True))
    people = Prefetch("planned_people", PlannedPerson.objects.order_by("id"))
    planned = (
        PlannedJob.objects.filter(job__in=jobs, plan__number__isnull=False)
        .select_related("job__order")
        .prefetch_related(people)
        .order_by("plan__number", "starts_at", "id")
    )
    plans = {plan.pk: plan for plan in NUMBERED.all()}
    events = Event.objects.filter(Q(job__in=jobs)).select_related("recorded_by", "withdrawn_by", "job")
    told = Telling.objects.filter(order__boat=boat).select_related("told_by", "order") if with_told else ()
    return BoatHistory(
        plans,
        tuple(planned),
        reasons_of(plans),
        by_hand_of(plans),
        tuple(events[:MOST]),
        tuple(told),
        tuple(boat.whereabouts.select_related("place", "mooring", "said_by").order_by("-since")[:MOST]),
    )


def reasons_of(plans: Iterable[int]) -> dict[int, str]:
    """Why each plan was posted, by its id: what had happened, where a proposal answered it. Two queries."""
    rows = Proposal.objects.filter(posted__in=list(plans)).prefetch_related("events")
    return {row.posted_id: "; ".join(event.says for event in row.events.all()) for row in rows if row.posted_id}


def by_hand_of(plans: Iterable[int]) -> dict[tuple[int, int], HandChange]:
    """Changes by hand by (plan that they were posted as, job). One query."""
    rows = HandChange.objects.filter(draft__posted__in=list(plans)).select_related("draft", "made_by")
    return {(row.draft.posted_id or 0, row.job_id): row for row in rows.order_by("sequence")}


@dataclass(frozen=True)
class Since:
    """before: the plan that hung then. now: the one that hangs. The rest: written since, oldest first."""

    before: Plan | None
    now: Plan | None
    posted: tuple[Plan, ...]
    why: dict[int, str]
    events: tuple[Event, ...]
    closings: tuple[DayClosing, ...]
    told: tuple[Telling, ...]


def since(moment: datetime, *, until: datetime, with_told: bool) -> Since:
    """Eight queries, however much happened."""
    posted = tuple(NUMBERED.filter(posted_at__gt=moment, posted_at__lte=until).order_by("number"))
    told = Telling.objects.filter(told_at__gt=moment, told_at__lte=until).select_related("order__boat", "told_by")
    events = Event.objects.filter(Q(recorded_at__gt=moment) | Q(withdrawn_at__gt=moment), recorded_at__lte=until)
    return Since(
        before=NUMBERED.filter(posted_at__lte=moment).order_by("-posted_at", "-number").first(),
        now=NUMBERED.filter(state=Plan.State.POSTED).first(),
        posted=posted,
        why=reasons_of(plan.pk for plan in posted),
        events=tuple(events.select_related("recorded_by", "withdrawn_by").order_by("recorded_at", "id")[:MOST]),
        closings=tuple(DayClosing.objects.filter(closed_at__gt=moment).select_related("closed_by")),
        told=tuple(told.order_by("told_at", "id")[:MOST]) if with_told else (),
    )
