"""Reads of the crew's phone page, of closing a day and of the storm list."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.contrib.auth.models import AnonymousUser, User
from django.db.models import Prefetch

from yard.models import ExtraWork, JobWork, MaterialUsed, Person, Place, PlaceKind, Plan, PlannedJob, PlannedPerson

LIE_AT = (PlaceKind.BERTH, PlaceKind.DOCK, PlaceKind.SLINGS, PlaceKind.TRAILER, PlaceKind.APRON)


def person_of(user: User | AnonymousUser) -> Person | None:
    """Who of the crew is signed in; None for an account that is nobody of the crew. One query."""
    return Person.objects.filter(user=user.pk, archived=False).first()


def places_to_lie() -> list[Place]:
    """Where a boat may be left for the night. One query."""
    return list(Place.objects.filter(kind__in=LIE_AT, archived=False).order_by("kind", "sequence", "id"))


def next_job(plan: Plan, person: Person | None, after: datetime) -> PlannedJob | None:
    """The first that a plan begins then or later, of a person or of all. One query."""
    rows = plan.planned_jobs.filter(starts_at__gte=after).select_related("job__order__boat")
    if person is not None:
        rows = rows.filter(planned_people__person=person)
    return rows.order_by("starts_at", "id").first()


def closing_rows(starts_at: datetime, ends_at: datetime) -> list[PlannedJob]:
    """The posted plan's jobs at any time in [starts_at, ends_at), numbered as on the day sheet. Four queries."""
    people = Prefetch("planned_people", PlannedPerson.objects.select_related("person").order_by("id"))
    return list(
        PlannedJob.objects.filter(plan__state=Plan.State.POSTED, starts_at__lt=ends_at, ends_at__gt=starts_at)
        .select_related("job__kind", "job__order__boat", "job__order__to_mooring")
        .prefetch_related(people, "job__facts")
        .order_by("starts_at", "id")
    )


@dataclass(frozen=True)
class DayNotes:
    """What was written of a day: hours worked, materials used, extras."""

    hours: tuple[JobWork, ...]
    materials: tuple[MaterialUsed, ...]
    extras: tuple[ExtraWork, ...]


def day_notes(day: date) -> DayNotes:
    """Three queries."""
    work = JobWork.objects.filter(worked_on=day).select_related("job__order__boat", "person").order_by("person", "id")
    return DayNotes(
        tuple(work),
        tuple(MaterialUsed.objects.filter(used_on=day).select_related("job__order__boat")),
        tuple(ExtraWork.objects.filter(done_on=day).select_related("job__order__boat")),
    )
