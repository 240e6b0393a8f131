"""Reads of the day sheet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Prefetch

from yard.models import (
    DatedHours,
    OwnersRun,
    Person,
    Plan,
    PlannedJob,
    PlannedPerson,
    PlannedPlace,
    ShopHours,
    Waiver,
    YardHoliday,
)
from yard.queries.runs import runs_between


@dataclass(frozen=True)
class DayRows:
    """jobs: what the plan does that day, by start. people: everybody, with skills and hours at hand.

    runs: with owners, of that day. shop: that day's hours; open_weekdays: all weekdays that have any. holidays: of
    the yard, by day.
    """

    jobs: tuple[PlannedJob, ...]
    people: tuple[Person, ...]
    shop: tuple[ShopHours, ...]
    open_weekdays: frozenset[int]
    holidays: dict[date, str]
    runs: tuple[OwnersRun, ...] = ()


def day_rows(plan: Plan | None, starts_at: datetime, ends_at: datetime, weekday: int) -> DayRows:
    """One day of the yard, [starts_at, ends_at). Fourteen queries at most, however many jobs, people and runs."""
    people = Person.objects.filter(archived=False).prefetch_related(
        "weekly_hours",
        "skills__skill",
        Prefetch("dated_hours", DatedHours.objects.filter(starts_at__lt=ends_at, ends_at__gt=starts_at)),
    )
    shop = list(ShopHours.objects.all())
    return DayRows(
        jobs=tuple(_jobs(plan, starts_at, ends_at)) if plan is not None else (),
        people=tuple(people.order_by("short_name", "id")),
        shop=tuple(row for row in shop if row.weekday == weekday),
        open_weekdays=frozenset(row.weekday for row in shop),
        holidays=dict(YardHoliday.objects.values_list("day", "name")),
        runs=tuple(runs_between(starts_at, ends_at)),
    )


def _jobs(plan: Plan, starts_at: datetime, ends_at: datetime) -> list[PlannedJob]:
    """Jobs at any time of the day, with kind, boat, mooring, people and places at hand."""
    return list(
        plan.planned_jobs.filter(starts_at__lt=ends_at, ends_at__gt=starts_at)
        .select_related("job__kind", "job__order__boat", "job__order__to_mooring")
        .prefetch_related(
            Prefetch("planned_people", PlannedPerson.objects.select_related("person").order_by("id")),
            Prefetch("planned_places", PlannedPlace.objects.select_related("place").order_by("place_id", "unit", "id")),
            Prefetch("job__waivers", Waiver.objects.filter(withdrawn_at=None)),
            "job__order__boat__permit_moorings",
        )
        .order_by("starts_at", "id")
    )
