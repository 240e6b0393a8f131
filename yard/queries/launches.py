"""Reads of the launch list: what the posted plan does on the ramp, who has done it, berths by night, what is shut."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import OuterRef, Prefetch, Q, QuerySet, Subquery, Sum

from yard.models import (
    Closure,
    GaugeReading,
    Job,
    Place,
    Plan,
    PlannedJob,
    PlannedPerson,
    PlannedPlace,
    PlannedStay,
    ShopHours,
    WaterNeed,
    Whereabouts,
    YardHoliday,
)


@dataclass(frozen=True)
class ShutAndOpen:
    """What says whether the ramp may be used: the shop's hours, holidays by day, accepted closures in the span."""

    shop: tuple[ShopHours, ...]
    holidays: dict[date, str]
    closures: tuple[Closure, ...]


@dataclass(frozen=True)
class Berths:
    """capacity: how many boats may lie; stays: the plan's; others: boats there that it does not name."""

    capacity: int
    stays: tuple[PlannedStay, ...]
    others: int


def ramp_jobs_between(plan: Plan, starts_at: datetime, ends_at: datetime) -> QuerySet[PlannedJob]:
    """What a plan does on the ramp in [starts_at, ends_at), by start. Five queries.

    Each has its job, kind, order, boat, mooring and facts at hand, and its planned_people and planned_places.
    """
    people = Prefetch("planned_people", PlannedPerson.objects.order_by("id"))
    places = Prefetch("planned_places", PlannedPlace.objects.select_related("place").order_by("place_id", "unit", "id"))
    return (
        plan.planned_jobs.filter(starts_at__lt=ends_at, ends_at__gt=starts_at, job__water_need=WaterNeed.RAMP)
        .select_related("job__kind", "job__order__boat", "job__order__to_mooring")
        .prefetch_related(people, places, "job__facts", "job__order__boat__permit_moorings")
        .order_by("starts_at", "id")
    )


def ramp_jobs_done_between(starts_at: datetime, ends_at: datetime) -> QuerySet[Job]:
    """What was done on the ramp in [starts_at, ends_at), by end, whatever the plans say. Four queries."""
    return (
        Job.objects.filter(
            state=Job.State.DONE,
            water_need=WaterNeed.RAMP,
            actual_ends_at__gte=starts_at,
            actual_ends_at__lt=ends_at,
        )
        .select_related("kind", "order__boat", "order__to_mooring")
        .prefetch_related("ways", "work__person", "order__boat__permit_moorings")
        .order_by("actual_ends_at", "id")
    )


def last_floated(boats: Iterable[int]) -> dict[int, GaugeReading]:
    """The gauge at which each of these boats last floated, by boat id. One query."""
    rows = GaugeReading.objects.filter(boat__in=list(boats)).order_by("at", "id")
    return {row.boat_id: row for row in rows if row.boat_id is not None}


def berths_between(plan: Plan | None, starts_at: datetime, ends_at: datetime) -> Berths:
    """Who lies at a berth at any time in [starts_at, ends_at). Three queries."""
    capacity = Place.objects.filter(archived=False, counted_by_night=True).aggregate(total=Sum("capacity"))["total"]
    stays = PlannedStay.objects.none() if plan is None else plan.planned_stays.filter(place__counted_by_night=True)
    latest = Whereabouts.objects.filter(boat=OuterRef("boat")).order_by("-since", "-id").values("pk")[:1]
    planned = stays.filter(stay__order__boat__isnull=False).values("stay__order__boat")
    lying = Whereabouts.objects.filter(pk=Subquery(latest), place__counted_by_night=True).exclude(boat__in=planned)
    shown = stays.filter(starts_at__lt=ends_at, ends_at__gt=starts_at).select_related("place", "stay")
    return Berths(capacity or 0, tuple(shown), lying.count())


def shut_and_open(starts_at: datetime, ends_at: datetime) -> ShutAndOpen:
    """Three queries."""
    closes_ramp = Q(covers__in=[Closure.Covers.WATER, Closure.Covers.OUTDOORS]) | Q(place__kind="ramp")
    closures = Closure.objects.filter(
        closes_ramp, state=Closure.State.ACCEPTED, starts_at__lt=ends_at, ends_at__gt=starts_at
    )
    return ShutAndOpen(
        shop=tuple(ShopHours.objects.all()),
        holidays=dict(YardHoliday.objects.values_list("day", "name")),
        closures=tuple(closures.order_by("starts_at", "id")),
    )
