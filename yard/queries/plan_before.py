"""What the plan before the one on the wall said of a day, what was done on it, and who goes afloat on the next."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from django.db.models import Prefetch, Q

from yard.models import Job, Plan, PlannedJob, PlannedPerson, WaterNeed


def plan_before(plan: Plan) -> Plan | None:
    """The one that hung before it. One query."""
    rows = Plan.objects.filter(number__lt=plan.number or 0, posted_at__isnull=False).defer("problem", "plan")
    return rows.order_by("-number").first()


def rows_of_day(plan: Plan, starts_at: datetime, ends_at: datetime, also: Iterable[int]) -> list[PlannedJob]:
    """What a plan does at any time in [starts_at, ends_at), and what it says of the jobs `also`. Two queries."""
    people = Prefetch("planned_people", PlannedPerson.objects.order_by("id"))
    return list(
        plan.planned_jobs.filter(Q(starts_at__lt=ends_at, ends_at__gt=starts_at) | Q(job__in=list(also)))
        .select_related("job__kind", "job__order__boat")
        .prefetch_related(people)
        .order_by("starts_at", "id")
    )


def rows_of_jobs(plan: Plan, jobs: Iterable[int]) -> dict[int, PlannedJob]:
    """What a plan says of these jobs, by job id. One query."""
    return {row.job_id: row for row in plan.planned_jobs.filter(job__in=list(jobs))}


def done_between(starts_at: datetime, ends_at: datetime) -> list[Job]:
    """What was finished in [starts_at, ends_at), by end. One query."""
    rows = Job.objects.filter(state=Job.State.DONE, actual_ends_at__gte=starts_at, actual_ends_at__lt=ends_at)
    return list(rows.select_related("order__boat").order_by("actual_ends_at", "id"))


def afloat_between(plan: Plan, starts_at: datetime, ends_at: datetime) -> list[PlannedJob]:
    """Open work on the water that a plan begins in [starts_at, ends_at): whose owners are called. One query."""
    rows = plan.planned_jobs.filter(starts_at__gte=starts_at, starts_at__lt=ends_at, job__state=Job.State.OPEN)
    afloat = rows.exclude(job__water_need=WaterNeed.NONE).select_related("job__order__boat")
    return list(afloat.order_by("starts_at", "id"))
