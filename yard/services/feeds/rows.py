"""The rows that calendars show, each family read once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import TypeVar
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from yard.feeds.keeping import HISTORY
from yard.models import (
    BoatOwner,
    Closure,
    Fact,
    GaugeReading,
    Job,
    JobKind,
    JobWork,
    Mooring,
    Order,
    OwnersRun,
    PackageFact,
    Person,
    Plan,
    PlannedJob,
    PlannedPerson,
    PlannedPlace,
    ShopHours,
    Telling,
    Trip,
    YardHoliday,
    YardSettings,
)
from yard.queries.runs import runs_between
from yard.services.feeds.visits import OpenHours
from yard.services.product_limits import Sheets, sheets_of

LAST = datetime.max.replace(tzinfo=UTC, year=9990)
"""Beyond any plan."""


@dataclass(frozen=True)
class FeedRows:
    """planned: what the posted plan does; was_planned: work done in the last weeks that it names no more, as the last
    plan that did had it; done: such work that no plan named. hands, spots: of planned jobs by id, people (id and name
    printed) and places (id and name with its unit); worked: who worked on a job; waits: facts that a job waits on.
    people: by id, with their weekly hours; berth_of: the mooring of each boat's permit; floated: by boat, metres above
    datum. All that hundreds of jobs share is read once and kept by id.

    tellings: the last that counts, by order. cloth_days: how long cloth takes, by package and name of the fact.
    sheets: data sheets that hold for a job, by its id. trips, runs: booked and not called off.
    """

    yard: YardSettings
    now: datetime
    hours: OpenHours
    planned: list[PlannedJob]
    was_planned: list[PlannedJob]
    done: list[Job]
    hands: Mapping[int, list[tuple[int, str]]]
    spots: Mapping[int, list[tuple[int, str]]]
    worked: Mapping[int, list[int]]
    waits: Mapping[int, list[Fact]]
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
    sheets: Sheets
    cloth_days: Mapping[tuple[int, str], int]
    trips: list[Trip]
    runs: list[OwnersRun]

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.yard.time_zone)

    @property
    def today(self) -> date:
        return self.now.astimezone(self.zone).date()


def read_feed_rows(yard: YardSettings, plan: Plan | None, now: datetime) -> FeedRows:
    """About thirty queries, however many jobs."""
    planned = [] if plan is None else _planned(plan.planned_jobs.all())
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
    facts_read = list(facts.prefetch_related("jobs").order_by("id"))
    named = [row.pk for row in (*planned, *was_planned)]
    return FeedRows(
        yard=yard,
        now=now,
        hours=OpenHours.of(yard.time_zone, ShopHours.objects.all(), holidays),
        planned=planned,
        was_planned=was_planned,
        done=done,
        hands=_hands(named),
        spots=_spots(named),
        worked=_grouped(JobWork.objects.order_by("id").values_list("job", "person")),
        waits=_grouped((job.pk, fact) for fact in facts_read for job in fact.jobs.all()),
        people=Person.objects.prefetch_related("weekly_hours").in_bulk(),
        berth_of={row.permit_boat_id: row for row in reversed(moorings) if row.permit_boat_id is not None},
        owners=owners,
        floated={row.boat_id: row.observed_m_above_datum for row in readings if row.boat_id is not None},
        tellings={row.order_id: row for row in tellings},
        closures=list(Closure.objects.filter(state=Closure.State.ACCEPTED).select_related("place")),
        holidays=holidays,
        moorings=moorings,
        ownerships=now_owned,
        facts=facts_read,
        sheets=sheets_of(row.job_id for row in (*planned, *was_planned)),
        cloth_days={
            (package, name): days
            for package, name, days in PackageFact.objects.filter(kind="cloth").values_list(
                "package_id", "name", "default_days"
            )
            if days is not None
        },
        trips=_trips(now),
        runs=list(runs_between(now - HISTORY, LAST)),
    )


def _trips(now: datetime) -> list[Trip]:
    rows = Trip.objects.filter(called_off_at=None, returns_at__gt=now - HISTORY)
    rows = rows.exclude(order__state=Order.State.CANCELLED).select_related("order__boat")
    return list(rows.prefetch_related("people", "places").order_by("leaves_at", "id"))


Key = TypeVar("Key")
Row = TypeVar("Row")


def _grouped(pairs: Iterable[tuple[Key, Row]]) -> dict[Key, list[Row]]:
    found: dict[Key, list[Row]] = {}
    for key, row in pairs:
        found.setdefault(key, []).append(row)
    return found


def _planned(rows: QuerySet[PlannedJob]) -> list[PlannedJob]:
    """By start, each with its job, kind, order, boat and mooring at hand. Three queries."""
    rows = rows.exclude(job__state=Job.State.CANCELLED).exclude(job__order__state=Order.State.CANCELLED)
    found = list(rows.select_related("job").order_by("starts_at", "id"))
    _with_orders([row.job for row in found])
    return found


def _with_orders(jobs: list[Job]) -> None:
    kinds = JobKind.objects.in_bulk({job.kind_id for job in jobs})
    orders = Order.objects.select_related("boat", "to_mooring").in_bulk({job.order_id for job in jobs})
    for job in jobs:
        job.kind, job.order = kinds[job.kind_id], orders[job.order_id]


def _hands(planned: list[int]) -> dict[int, list[tuple[int, str]]]:
    rows = PlannedPerson.objects.filter(planned_job__in=planned).order_by("id")
    columns = rows.values_list("planned_job", "person", "name")
    return _grouped((job, (person, name)) for job, person, name in columns)


def _spots(planned: list[int]) -> dict[int, list[tuple[int, str]]]:
    """A place that takes several is named with the unit; a line that is taken by its length is named once."""
    rows = PlannedPlace.objects.filter(planned_job__in=planned).order_by("place_id", "unit", "id")
    columns = rows.values_list("planned_job", "place", "place__name", "place__capacity", "place__line_m", "unit")
    named = dict.fromkeys(
        (job, (place, f"{name} {unit}" if capacity > 1 and line_m is None else name))
        for job, place, name, capacity, line_m, unit in columns
    )
    return _grouped(named)


def _done(now: datetime, in_plan: set[int]) -> tuple[list[PlannedJob], list[Job]]:
    """Work done in the weeks of history: as the last plan that named it had it, and work that no plan ever named."""
    rows = Job.objects.filter(state=Job.State.DONE, actual_ends_at__gt=now - HISTORY).exclude(pk__in=in_plan)
    jobs = list(rows.prefetch_related("ways").order_by("actual_ends_at", "id"))
    _with_orders(jobs)
    was_posted = [Plan.State.POSTED, Plan.State.SUPERSEDED]
    named = PlannedJob.objects.filter(job__in=[job.pk for job in jobs], plan__state__in=was_posted)
    last = dict(named.order_by("plan__number").values_list("job", "pk"))
    planned = _planned(PlannedJob.objects.filter(pk__in=last.values()))
    return planned, [job for job in jobs if job.pk not in last]
