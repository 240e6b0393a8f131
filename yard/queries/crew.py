"""Reads of people."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Prefetch, Q, QuerySet

from yard.models import (
    Job,
    JobWork,
    Person,
    PersonSkill,
    Plan,
    PlannedJob,
    PlannedPerson,
    PlannedPlace,
    Skill,
    YardHoliday,
)

NOT_BUSY = frozenset({Job.State.DONE, Job.State.CANCELLED, Job.State.FAILED})
"""A job in one of these states takes no hands."""


@dataclass(frozen=True)
class CrewRows:
    """people: everybody, by short name, with skills and hours at hand. planned: who does what, by start.

    holidays: of the yard, by day.
    """

    people: tuple[Person, ...]
    planned: tuple[PlannedPerson, ...]
    holidays: dict[date, str]


def left_at(person: Person) -> datetime | None:
    """When somebody who has left was written down as gone; None where it is not known. One query."""
    found = None
    for gone, at in person.history.order_by("-history_date", "-history_id").values_list("archived", "history_date"):
        if not gone:
            return found
        found = at
    return found


def people_with_hours(*, left_too: bool = False) -> QuerySet[Person]:
    """Everybody who works, by short name, with skills, weekly hours and dated hours at hand. Four queries.

    left_too: those who have left as well.
    """
    skills = Prefetch("skills", PersonSkill.objects.select_related("skill").order_by("skill__key", "id"))
    return (
        Person.objects.filter(archived__in=(False, left_too))
        .prefetch_related(skills, "weekly_hours", "dated_hours")
        .order_by("short_name", "id")
    )


def people_who_left() -> QuerySet[Person]:
    """Everybody who is archived, by short name. One query."""
    return Person.objects.filter(archived=True).order_by("short_name", "id")


def skills_with_holders() -> QuerySet[Skill]:
    """Every skill by name with, as `working`, who has it and works here, the best first. Two queries."""
    held = PersonSkill.objects.filter(person__archived=False).select_related("person")
    return Skill.objects.prefetch_related(
        Prefetch("holders", held.order_by("-level", "person__short_name"), to_attr="working")
    )


def crew_rows(plan: Plan | None, starts_at: datetime, ends_at: datetime) -> CrewRows:
    """Everybody, and what a plan gives them at any time in [starts_at, ends_at). Six queries, however many."""
    planned = PlannedPerson.objects.none()
    if plan is not None:
        planned = PlannedPerson.objects.filter(
            planned_job__plan=plan, planned_job__starts_at__lt=ends_at, planned_job__ends_at__gt=starts_at
        )
    return _with_plan(planned)


def _with_plan(planned: QuerySet[PlannedPerson]) -> CrewRows:
    return CrewRows(
        people=tuple(people_with_hours()),
        planned=tuple(
            planned.select_related("planned_job__job__kind", "planned_job__job__order__boat").order_by(
                "planned_job__starts_at", "id"
            )
        ),
        holidays=dict(YardHoliday.objects.values_list("day", "name")),
    )


def crew_week(plan: Plan | None, starts_at: datetime, ends_at: datetime, known_to: datetime, now: datetime) -> CrewRows:
    """Everybody, what a plan gives them in [starts_at, ends_at), and of what follows until `known_to` the next job of
    each that has not begun. Seven queries, however many.
    """
    if plan is None:
        return crew_rows(None, starts_at, ends_at)
    known = PlannedPerson.objects.filter(
        planned_job__plan=plan, planned_job__starts_at__lt=known_to, planned_job__ends_at__gt=starts_at
    )
    coming = known.filter(planned_job__starts_at__gt=now).exclude(planned_job__job__state__in=NOT_BUSY)
    by_start = coming.order_by("-planned_job__starts_at", "-id").values_list("person", "pk")
    following = dict(by_start)  # of each person the last, which is the first to start
    return _with_plan(known.filter(Q(planned_job__starts_at__lt=ends_at) | Q(pk__in=following.values())))


def jobs_of_person(plan: Plan, person: Person, starts_at: datetime, ends_at: datetime) -> list[PlannedJob]:
    """What a plan gives one person at any time in [starts_at, ends_at), by start. Four queries.

    Each has its kind, boat, mooring, people and places at hand.
    """
    return list(
        plan.planned_jobs.filter(planned_people__person=person, starts_at__lt=ends_at, ends_at__gt=starts_at)
        .select_related("job__kind", "job__order__boat", "job__order__to_mooring")
        .prefetch_related(
            Prefetch("planned_people", PlannedPerson.objects.select_related("person").order_by("id")),
            Prefetch("planned_places", PlannedPlace.objects.select_related("place").order_by("place_id", "unit", "id")),
            "job__order__boat__permit_moorings",
        )
        .order_by("starts_at", "id")
    )


def work_done(person: Person, first: date, last: date) -> list[JobWork]:
    """What a person did from the one day to the other, both included, by day. One query."""
    rows = JobWork.objects.filter(person=person, worked_on__gte=first, worked_on__lte=last)
    return list(rows.select_related("job__order__boat").order_by("worked_on", "id"))
