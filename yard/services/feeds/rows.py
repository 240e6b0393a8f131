"""The rows that calendars show, each family read once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, QuerySet

from yard.feeds.keeping import HISTORY
from yard.models import (
    BoatOwner,
    Closure,
    Fact,
    GaugeReading,
    Job,
    Mooring,
    Order,
    PackageFact,
    Person,
    Plan,
    PlannedJob,
    PlannedPerson,
    PlannedPlace,
    ShopHours,
    Telling,
    YardHoliday,
    YardSettings,
)
from yard.services.feeds.visits import OpenHours


@dataclass(frozen=True)
class FeedRows:
    """planned: what the posted plan does; was_planned: work done in the last weeks that it names no more, as the last
    plan that did had it; done: such work that no plan named. people: by id, with their weekly hours; berth_of: the
    mooring of each boat's permit; floated: by boat, metres above datum. (Kept by id, as hundreds of jobs share them.)

    tellings: the last that counts, by order. cloth_days: how long cloth takes, by package and name of the fact.
    """

    yard: YardSettings
    now: datetime
    hours: OpenHours
    planned: list[PlannedJob]
    was_planned: list[PlannedJob]
    done: list[Job]
    people: Mapping[int, Person]
    berth_of: Mapping[int, Mooring]
    owners: Mapping[int, tuple[int, ...]]
    floated: Mapping[int, float]
    tellings: Mapping[int, Telling]
    closures: list[Closure]
    holidays: Mapping[date, str]
    moorings: list[Mooring]
    ownerships: list[BoatOwner]
    facts: list[Fact]
    cloth_days: Mapping[tuple[int, str], int]

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.yard.time_zone)

    @property
    def today(self) -> date:
        return self.now.astimezone(self.zone).date()


def read_feed_rows(yard: YardSettings, plan: Plan | None, now: datetime) -> FeedRows:
    """About twenty-five queries, however many jobs."""
    planned = [] if plan is None else _with_all(plan.planned_jobs.all())
    holidays = dict(YardHoliday.objects.values_list("day", "name"))
    today = now.astimezone(ZoneInfo(yard.time_zone)).date()
    ownerships = list(BoatOwner.objects.select_related("boat").filter(boat__archived=False))
    now_owned = [row for row in ownerships if row.starts_on <= today and (row.ends_on is None or row.ends_on > today)]
    owners: dict[int, tuple[int, ...]] = {}
    for row in now_owned:
        owners[row.boat_id] = (*owners.get(row.boat_id, ()), row.owner_id)
    was_planned, done = _done(now, {row.job_id for row in planned})
    readings = GaugeReading.objects.filter(boat__isnull=False).order_by("at", "id")
    moorings = list(Mooring.objects.filter(archived=False).select_related("permit_boat").order_by("ref", "id"))
    tellings = Telling.objects.filter(taken_back_at=None).order_by("told_at", "id")
    facts = Fact.objects.exclude(state=Fact.State.HERE).select_related("boat", "order__boat", "order__package")
    return FeedRows(
        yard=yard,
        now=now,
        hours=OpenHours.of(yard.time_zone, ShopHours.objects.all(), holidays),
        planned=planned,
        was_planned=was_planned,
        done=done,
        people=Person.objects.prefetch_related("weekly_hours").in_bulk(),
        berth_of={row.permit_boat_id: row for row in reversed(moorings) if row.permit_boat_id is not None},
        owners=owners,
        floated={row.boat_id: row.observed_m_above_datum for row in readings if row.boat_id is not None},
        tellings={row.order_id: row for row in tellings},
        closures=list(Closure.objects.filter(state=Closure.State.ACCEPTED).select_related("place")),
        holidays=holidays,
        moorings=moorings,
        ownerships=now_owned,
        facts=list(facts.prefetch_related("jobs").order_by("id")),
        cloth_days={
            (package, name): days
            for package, name, days in PackageFact.objects.filter(kind="cloth").values_list(
                "package_id", "name", "default_days"
            )
            if days is not None
        },
    )


def _with_all(rows: QuerySet[PlannedJob]) -> list[PlannedJob]:
    rows = rows.exclude(job__state=Job.State.CANCELLED).exclude(job__order__state=Order.State.CANCELLED)
    return list(
        rows.select_related("job__kind", "job__order__boat", "job__order__to_mooring")
        .prefetch_related(
            Prefetch("planned_people", PlannedPerson.objects.order_by("id")),
            Prefetch("planned_places", PlannedPlace.objects.select_related("place").order_by("place_id", "unit", "id")),
            "job__facts",
            "job__work",
        )
        .order_by("starts_at", "id")
    )


def _done(now: datetime, in_plan: set[int]) -> tuple[list[PlannedJob], list[Job]]:
    """Work done in the weeks of history: as the last plan that named it had it, and work that no plan ever named."""
    rows = Job.objects.filter(state=Job.State.DONE, actual_ends_at__gt=now - HISTORY).exclude(pk__in=in_plan)
    jobs = list(
        rows.select_related("kind", "order__boat", "order__to_mooring")
        .prefetch_related("ways", "work")
        .order_by("actual_ends_at", "id")
    )
    was_posted = [Plan.State.POSTED, Plan.State.SUPERSEDED]
    named = PlannedJob.objects.filter(job__in=[job.pk for job in jobs], plan__state__in=was_posted)
    last = dict(named.order_by("plan__number").values_list("job", "pk"))
    planned = _with_all(PlannedJob.objects.filter(pk__in=last.values()))
    return planned, [job for job in jobs if job.pk not in last]
