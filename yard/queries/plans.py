"""Reads of plans."""

from datetime import datetime

from django.db.models import Prefetch, QuerySet

from yard.models import Plan, PlannedJob, PlannedPerson, PlannedPlace


def posted_plan() -> Plan | None:
    """The plan on the wall, or None where none was posted yet; its JSON texts are read only when asked for."""
    return Plan.objects.filter(state=Plan.State.POSTED).defer("problem", "plan").order_by("id").first()


def planned_jobs_between(plan: Plan, starts_at: datetime, ends_at: datetime) -> QuerySet[PlannedJob]:
    """What a plan does at any time in [starts_at, ends_at), by start. Three queries.

    Each has its job, kind, order and boat at hand, and its planned_people and planned_places.
    """
    people = Prefetch("planned_people", PlannedPerson.objects.select_related("person").order_by("id"))
    places = Prefetch("planned_places", PlannedPlace.objects.select_related("place").order_by("place_id", "unit", "id"))
    return (
        plan.planned_jobs.filter(starts_at__lt=ends_at, ends_at__gt=starts_at)
        .select_related("job__kind", "job__order__boat")
        .prefetch_related(people, places)
        .order_by("starts_at", "id")
    )
