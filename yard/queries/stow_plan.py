"""Reads of store plans and of autumn's work: a plan's spots, and when the posted plan hauls, washes and winterises."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from yard.models import Job, Order, Plan, PlannedJob, StowPlan, StowSpot

AUTUMN_KINDS = ("haul", "wash_bottom", "winterise")


@dataclass(frozen=True)
class PlansOfKind:
    """The plan that waits for a word and the one that stands, None where there is none."""

    proposed: StowPlan | None
    accepted: StowPlan | None


def plans_of(kind: StowPlan.Kind) -> PlansOfKind:
    """One query."""
    rows = {
        row.state: row
        for row in StowPlan.objects.filter(kind=kind, state__in=["proposed", "accepted"]).select_related(
            "made_by", "decided_by", "replaced"
        )
    }
    return PlansOfKind(rows.get(StowPlan.State.PROPOSED), rows.get(StowPlan.State.ACCEPTED))


def spots_of(plan: StowPlan) -> list[StowSpot]:
    """Row by row from the wall outward, rows in the order of the yard's lists. One query."""
    rows = plan.spots.select_related("boat", "place", "place__stack", "item")
    return list(rows.order_by("place__sequence", "place__name", "place_id", "level", "position"))


@dataclass(frozen=True)
class AutumnWork:
    """One lay-up: its open jobs by kind, and when the posted plan has each, [starts, ends), UTC."""

    order: Order
    jobs: dict[str, Job]
    planned: dict[str, tuple[datetime, datetime]]


def autumn_work(plan: Plan | None) -> list[AutumnWork]:
    """Open orders that winterise a boat, the first last day first. Two queries, however many boats."""
    jobs = Job.objects.filter(kind__key__in=AUTUMN_KINDS, order__state=Order.State.OPEN).exclude(
        state=Job.State.CANCELLED
    )
    by_order: defaultdict[int, dict[str, Job]] = defaultdict(dict)
    orders: dict[int, Order] = {}
    for job in jobs.select_related("kind", "order__boat").order_by("pk"):
        by_order[job.order_id].setdefault(job.kind.key, job)
        orders[job.order_id] = job.order
    times: dict[int, tuple[datetime, datetime]] = {}
    if plan is not None:
        rows = PlannedJob.objects.filter(plan=plan, job__kind__key__in=AUTUMN_KINDS)
        times = {job: (starts, ends) for job, starts, ends in rows.values_list("job", "starts_at", "ends_at")}
    found = [
        AutumnWork(
            orders[pk],
            kinds,
            {key: times[job.pk] for key, job in kinds.items() if job.pk in times},
        )
        for pk, kinds in by_order.items()
        if "winterise" in kinds and orders[pk].boat is not None
    ]
    return sorted(found, key=_first_last_day)


def _first_last_day(work: AutumnWork) -> tuple[bool, str, str]:
    day = work.jobs["winterise"].finish_by_date
    return day is None, f"{day}", work.order.boat.name if work.order.boat is not None else ""
