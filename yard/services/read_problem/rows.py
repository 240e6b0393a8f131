"""The rows that a plan reads, each family with one query and what hangs on it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import OuterRef, QuerySet, Subquery
from django.utils.translation import gettext as _

from yard.models import (
    AutumnRules,
    Boat,
    Closure,
    FactsRevision,
    GaugeReading,
    HeldDays,
    Job,
    JobLink,
    Order,
    OwnersRun,
    Person,
    Pin,
    Place,
    PlannedJob,
    ShopHours,
    Stay,
    StowSpot,
    Waiver,
    Whereabouts,
    YardHoliday,
    YardSettings,
)
from yard.queries.outings import Outing, outings_since
from yard.services.read_problem.axis import YardNotReady


@dataclass(frozen=True)
class Rows:
    """Everything a plan reads, as it stood in one moment."""

    yard: YardSettings
    revision: int
    people: list[Person]
    places: list[Place]
    shop: list[ShopHours]
    holidays: set[date]
    closures: list[Closure]
    runs: list[OwnersRun]
    outings: list[Outing]
    jobs: list[Job]
    links: list[JobLink]
    stays: list[Stay]
    pins: dict[int, Pin]
    waivers: list[Waiver]
    lying: dict[int, Whereabouts]
    floated: dict[int, float]
    planned: dict[int, PlannedJob]
    drafts: tuple[float, ...]
    spots: list[StowSpot]
    freeze_binds: bool


def read_rows(*, now: datetime) -> Rows:
    """Some two dozen queries, however many boats; without orders whose hold has run out by `now`.

    Raises YardNotReady before the yard has its settings.
    """
    yard = YardSettings.objects.filter(pk=1).first()
    if yard is None:
        raise YardNotReady(_("The yard has no settings yet: enter its name, zone and tide station first (Yard)."))
    if not yard.tide_station:
        raise YardNotReady(_("No tide station is chosen yet: choose one first (Yard, settings)."))
    revision = FactsRevision.objects.filter(pk=1).values_list("count", flat=True).first() or 0
    jobs = _jobs(now)
    return Rows(
        yard=yard,
        revision=revision,
        people=list(
            Person.objects.filter(archived=False)
            .prefetch_related("skills__skill", "weekly_hours", "dated_hours")
            .order_by("id")
        ),
        places=list(
            Place.objects.filter(archived=False).prefetch_related("hours", "operators").order_by("sequence", "id")
        ),
        shop=list(ShopHours.objects.all()),
        holidays=set(YardHoliday.objects.values_list("day", flat=True)),
        closures=list(Closure.objects.filter(state=Closure.State.ACCEPTED)),
        runs=runs_booked(now),
        outings=outings_since(now - timedelta(days=1)),
        jobs=jobs,
        links=list(
            JobLink.objects.filter(after__order__state=Order.State.OPEN).select_related("product_sheet").order_by("id")
        ),
        stays=_stays(now),
        pins={pin.job_id: pin for pin in Pin.objects.filter(withdrawn_at=None).prefetch_related("people", "places")},
        waivers=list(Waiver.objects.filter(withdrawn_at=None).select_related("made_by")),
        lying=where_boats_are(),
        floated=_floated(),
        planned={
            row.job_id: row
            for row in PlannedJob.objects.filter(plan__state="posted").prefetch_related(
                "planned_people", "planned_places__place"
            )
        },
        drafts=drafts_of_the_fleet(),
        spots=accepted_spots(),
        freeze_binds=AutumnRules.objects.filter(pk=1).values_list("freeze_binds", flat=True).first() is not False,
    )


def runs_booked(now: datetime) -> list[OwnersRun]:
    """Owners' runs of yesterday and later, by start: what was run this morning is gone from today's charge. Two."""
    rows = OwnersRun.objects.filter(called_off_at=None, back_at__gt=now - timedelta(days=1))
    return list(rows.prefetch_related("people").order_by("leaves_at", "id"))


def drafts_of_the_fleet() -> tuple[float, ...]:
    """The known drafts of the boats in the yard's care, metres, the least first. One query."""
    known = Boat.objects.filter(archived=False, draft_m__isnull=False)
    return tuple(
        draft for boat in known.order_by("draft_m", "id").only("draft_m") if (draft := boat.draft_m) is not None
    )


def jobs_to_read() -> QuerySet[Job]:
    """Every job of every open order, in the order in which a boat's jobs are done."""
    return (
        Job.objects.filter(order__state=Order.State.OPEN)
        .select_related("kind", "order__boat", "order__to_mooring")
        .prefetch_related("ways", "facts", "order__boat__permit_moorings")
        .order_by("order__boat_id", "order_id", "sequence", "id")
    )


def _jobs(now: datetime) -> list[Job]:
    return list(jobs_to_read().exclude(order__in=run_out(now)))


def run_out(now: datetime) -> QuerySet[HeldDays, int]:
    """Ids of the orders that were held until now or before and that nobody took."""
    return HeldDays.objects.filter(state=HeldDays.State.HELD, until__lte=now).values_list("order", flat=True)


def _stays(now: datetime) -> list[Stay]:
    return list(
        Stay.objects.filter(order__state=Order.State.OPEN)
        .exclude(order__in=run_out(now))
        .exclude(until_job__state__in=[Job.State.DONE, Job.State.CANCELLED])
        .exclude(from_job__state=Job.State.CANCELLED)
        .select_related("order__boat", "from_job", "until_job")
        .order_by("id")
    )


def where_boats_are() -> dict[int, Whereabouts]:
    """The latest whereabouts of each boat, by boat id. One query."""
    latest = Whereabouts.objects.filter(boat=OuterRef("boat")).order_by("-since", "-id").values("pk")[:1]
    rows = Whereabouts.objects.filter(pk=Subquery(latest), boat__archived=False).select_related(
        "place", "mooring", "boat"
    )
    return {row.boat_id: row for row in rows}


def accepted_spots() -> list[StowSpot]:
    """Of the accepted plan of boats, row by row from the wall outward. One query."""
    rows = StowSpot.objects.filter(plan__state="accepted", plan__kind="boats")
    return list(rows.select_related("boat", "place").order_by("place_id", "position"))


def _floated() -> dict[int, float]:
    """The gauge, metres above datum, at which each boat last floated off: it replaces the formula for her."""
    rows = GaugeReading.objects.filter(boat__isnull=False).order_by("at", "id")
    return {row.boat_id: row.observed_m_above_datum for row in rows if row.boat_id is not None}
