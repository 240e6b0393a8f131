"""Reads for a free tide: who could go on it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import F

from yard.models import Job, Order, Plan, PlannedJob, WaterNeed

LAUNCH = "launch"
OPEN = (Job.State.OPEN, Job.State.STARTED)


@dataclass(frozen=True)
class WaitingToLaunch:
    """jobs: launches not done, with boat, mooring and the jobs before and after them at hand, by promised date.

    planned: what the plan says of them and of those jobs, by job id.
    """

    jobs: tuple[Job, ...]
    planned: dict[int, PlannedJob]


def waiting_to_launch(plan: Plan | None) -> WaitingToLaunch:
    """Boats with a launch to come. Five queries, however many boats."""
    jobs = tuple(
        Job.objects.filter(
            kind__key=LAUNCH, water_need=WaterNeed.RAMP, state=Job.State.OPEN, order__state=Order.State.OPEN
        )
        .select_related("kind", "order__boat", "order__to_mooring")
        .prefetch_related("order__boat__permit_moorings", "links_before__before", "links_after__after")
        .order_by(F("order__promised_date").asc(nulls_last=True), "order__boat__name", "id")
    )
    return WaitingToLaunch(jobs, _planned(plan, jobs) if plan is not None else {})


def _planned(plan: Plan, jobs: Iterable[Job]) -> dict[int, PlannedJob]:
    wanted = {job.pk for job in jobs}
    wanted |= {link.before_id for job in jobs for link in job.links_before.all()}
    wanted |= {link.after_id for job in jobs for link in job.links_after.all()}
    return {row.job_id: row for row in plan.planned_jobs.filter(job__in=wanted)}
