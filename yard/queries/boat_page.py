"""Reads of one boat's page: her orders and jobs, what the posted plan says of them, where she and her things are."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import OuterRef, Prefetch, Q, Subquery

from yard.models import (
    Boat,
    BoatOwner,
    Fact,
    GaugeReading,
    Item,
    ItemWhereabouts,
    Job,
    JobWork,
    LeftOut,
    Mooring,
    Order,
    Place,
    Plan,
    PlannedJob,
    PlannedPerson,
    PlannedPlace,
    PlannedStay,
    Telling,
    Whereabouts,
)
from yard.queries.launches import last_floated
from yard.queries.orders import BoatNetwork, network_of, orders_with_jobs

LAST_PLACES = 6
"""How many of the places where she lay are shown."""


@dataclass(frozen=True)
class PlannedRows:
    """What the plan says of her jobs (by job id), her nights at berths, and what it left out."""

    jobs: dict[int, PlannedJob]
    stays: tuple[PlannedStay, ...]
    left_out: tuple[LeftOut, ...]


@dataclass(frozen=True)
class LyingRows:
    """lies: where she lay, the latest first. in_her_way: boats farther out in her row of the store."""

    lies: tuple[Whereabouts, ...]
    in_her_way: tuple[str, ...]
    items: tuple[Item, ...]
    item_lies: dict[int, ItemWhereabouts]
    places: tuple[Place, ...]


@dataclass(frozen=True)
class OwnerRows:
    """Whose she is now, and what they were told, the latest first. Empty for whoever may not see owners."""

    owners: tuple[BoatOwner, ...] = ()
    tellings: tuple[Telling, ...] = ()


@dataclass(frozen=True)
class BoatRows:
    """orders: the open ones, the oldest first; past: others, the latest first. facts: all that her open work reads.

    waiting: which jobs of her network wait for a fact, by its id.
    """

    boat: Boat
    plan: Plan | None
    orders: tuple[Order, ...]
    past: tuple[Order, ...]
    network: BoatNetwork
    work: dict[int, tuple[str, ...]]
    planned: PlannedRows
    lying: LyingRows
    moorings: tuple[Mooring, ...]
    facts: tuple[Fact, ...]
    waiting: Mapping[int, tuple[Job, ...]]
    owned: OwnerRows
    floated: GaugeReading | None


def boat_rows(boat: Boat, plan: Plan | None, *, with_owners: bool) -> BoatRows:
    """Everything that her page reads. At most twenty queries, however many jobs, things and tellings."""
    orders = orders_with_jobs(boat)
    opened = tuple(order for order in orders if order.state == Order.State.OPEN)
    network = network_of(opened)
    return BoatRows(
        boat=boat,
        plan=plan,
        orders=opened,
        past=tuple(order for order in reversed(orders) if order.state != Order.State.OPEN),
        network=network,
        work=_who_worked([job.pk for job in network.jobs]),
        planned=_planned(boat, plan, orders),
        lying=_lying(boat),
        moorings=tuple(_moorings(boat, opened)),
        facts=tuple(_facts(boat, opened)),
        waiting=_waiting(network),
        owned=_owned(boat) if with_owners else OwnerRows(),
        floated=last_floated([boat.pk]).get(boat.pk),
    )


def owner_rows(boat: Boat) -> list[BoatOwner]:
    """Her ownerships that have not ended by a date on file, the one called first before others. One query."""
    return list(boat.ownerships.filter(ends_on=None).select_related("owner").order_by("-told_first", "starts_on", "id"))


def orders_to_tell_of(orders: Iterable[Order]) -> list[Order]:
    """Of a boat's orders those that an owner may be told of: the open ones first, then the latest."""
    kept = [order for order in orders if order.state != Order.State.CANCELLED]
    latest = sorted(kept, key=lambda order: (order.made_at, order.pk), reverse=True)[:12]
    return sorted(latest, key=lambda order: order.state != Order.State.OPEN)


def places_in_order() -> list[Place]:
    """Places in use, in the yard's own order. One query."""
    return list(Place.objects.filter(archived=False).order_by("sequence", "name", "id"))


def _who_worked(jobs: list[int]) -> dict[int, tuple[str, ...]]:
    names: dict[int, dict[str, None]] = {}
    rows = JobWork.objects.filter(job__in=jobs).order_by("worked_on", "id")
    for job, name in rows.values_list("job_id", "person__short_name"):
        names.setdefault(job, {})[name] = None
    return {job: tuple(who) for job, who in names.items()}


def _planned(boat: Boat, plan: Plan | None, orders: Sequence[Order]) -> PlannedRows:
    """orders: all of hers, with their jobs. Asked by the ids at hand: no join, and no other boat's rows are read."""
    if plan is None:
        return PlannedRows({}, (), ())
    people = Prefetch("planned_people", PlannedPerson.objects.order_by("id"))
    places = Prefetch("planned_places", PlannedPlace.objects.select_related("place").order_by("place_id", "unit", "id"))
    hers = [job.pk for order in orders for job in order.jobs.all()]
    jobs = plan.planned_jobs.filter(job__in=hers).prefetch_related(people, places).order_by("starts_at", "id")
    stays = plan.planned_stays.filter(stay__order__in=orders).select_related("place").order_by("starts_at", "id")
    left = plan.left_out.filter(Q(boat=boat) | Q(order__in=orders) | Q(job__in=hers)).select_related("job")
    return PlannedRows({row.job_id: row for row in jobs}, tuple(stays), tuple(left.order_by("id")))


def _lying(boat: Boat) -> LyingRows:
    lies = tuple(boat.whereabouts.select_related("place", "mooring", "said_by").order_by("-since", "-id")[:LAST_PLACES])
    items = tuple(boat.items.filter(archived=False).order_by("kind", "name", "id"))
    latest = ItemWhereabouts.objects.filter(item=OuterRef("item")).order_by("-since", "-id").values("pk")[:1]
    rows = ItemWhereabouts.objects.filter(item__boat=boat, pk=Subquery(latest)).select_related("place")
    return LyingRows(
        lies=lies,
        in_her_way=_in_her_way(lies[0]) if lies else (),
        items=items,
        item_lies={row.item_id: row for row in rows} if items else {},
        places=tuple(places_in_order()),
    )


def _in_her_way(here: Whereabouts) -> tuple[str, ...]:
    if here.kind != Whereabouts.Kind.STORE_ROW:
        return ()
    latest = Whereabouts.objects.filter(boat=OuterRef("boat")).order_by("-since", "-id").values("pk")[:1]
    rows = Whereabouts.objects.filter(
        place=here.place_id, position__gt=here.position, pk=Subquery(latest), boat__archived=False
    )
    return tuple(rows.order_by("position", "id").values_list("boat__name", flat=True))


def _moorings(boat: Boat, opened: Sequence[Order]) -> list[Mooring]:
    """Those of her permit and those that her open orders name."""
    named = [order.to_mooring_id for order in opened if order.to_mooring_id is not None]
    rows = Mooring.objects.filter(Q(permit_boat=boat) | Q(pk__in=named), archived=False)
    return list(rows.order_by("temporary", "ref", "id"))


def _facts(boat: Boat, opened: Sequence[Order]) -> list[Fact]:
    """Of the boat, or of an open order of hers; what is not here first, then by date."""
    rows = Fact.objects.filter(Q(boat=boat) | Q(order__in=opened))
    return sorted(rows.order_by("expected_date", "name", "id"), key=lambda fact: fact.state == Fact.State.HERE)


def _waiting(network: BoatNetwork) -> dict[int, tuple[Job, ...]]:
    found: defaultdict[int, list[Job]] = defaultdict(list)
    for job in network.jobs:
        for fact in job.facts.all():
            found[fact.pk].append(job)
    return {fact: tuple(jobs) for fact, jobs in found.items()}


def _owned(boat: Boat) -> OwnerRows:
    tellings = boat.tellings.select_related("owner", "told_by", "taken_back_by")
    return OwnerRows(tuple(owner_rows(boat)), tuple(tellings.order_by("-told_at", "-id")))
