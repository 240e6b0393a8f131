"""Washing as winter work: sails that came off and wait for it, and the orders that a person makes of them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from yard.models import Boat, Item, ItemWhereabouts, Job, JobThing, Order, Package
from yard.queries.sails import ON_SAILS, WASH, sails_of_jobs, sails_off
from yard.services.change_order import Sender, save_order
from yard.services.facts_revision import bump_facts
from yard.services.order_package import OrderDates, OrderRefused, Terms, default_options, order_package, today_in_yard

PACKAGE = "sail_wash_and_repair"
MOST_AT_ONCE = 60
AUTUMN, WINTER = (8, 1), (11, 15)
"""Month and day: what comes off from the first is washed from the second on, after the haul-out (common practice)."""
NOTE = "Winter washing: proposed because its sails came off."


@dataclass(frozen=True, slots=True)
class Waiting:
    """A boat whose sails came off and were not washed since. off_on: the first of them; damp: any of them is."""

    boat: Boat
    sails: tuple[Item, ...]
    off_on: date
    damp: bool


@dataclass(frozen=True, slots=True)
class Ordered:
    """orders: the new ones. left: boats that were not, each with the reason."""

    orders: tuple[Order, ...]
    left: tuple[tuple[str, str], ...]


def waiting_sails() -> list[Waiting]:
    """Boats by name. Six queries, however many sails; none of a sail that an open order washes already."""
    rows = [row for row in sails_off() if row.item.boat is not None and not row.item.boat.archived]
    off = _came_off([row.item for row in rows])
    asked = _in_open_orders() | _washed_since(off)
    boats: dict[int, list[ItemWhereabouts]] = {}
    for row in rows:
        if row.item_id not in asked and row.item.boat_id is not None:
            boats.setdefault(row.item.boat_id, []).append(row)
    return [_waiting(mine, off) for mine in boats.values()]


def _waiting(rows: Sequence[ItemWhereabouts], off: dict[int, date]) -> Waiting:
    boat = rows[0].item.boat
    assert boat is not None
    damp = any(row.condition == ItemWhereabouts.Condition.DAMP for row in rows)
    return Waiting(boat, tuple(row.item for row in rows), min(off[row.item_id] for row in rows), damp)


def _came_off(sails: Sequence[Item]) -> dict[int, date]:
    """The first day of each sail's stay in the yard, as far as anybody said."""
    found: dict[int, date] = {}
    rows = ItemWhereabouts.objects.filter(item__in=sails).order_by("item_id", "-since", "-id")
    ended: set[int] = set()
    for row in rows:
        if row.kind != ItemWhereabouts.Kind.PLACE:
            ended.add(row.item_id)
        elif row.item_id not in ended:
            found[row.item_id] = row.since.date()
    return found


def _in_open_orders() -> set[int]:
    jobs = Job.objects.filter(kind__key=WASH, order__state=Order.State.OPEN, state__in=("open", "started", "failed"))
    held = sails_of_jobs(jobs.select_related("order"))
    return {sail.pk for sails in held.values() for sail in sails}


def _washed_since(off: dict[int, date]) -> set[int]:
    """Washed on the day on which they came off, or later: by a job, or as somebody wrote on their pages."""
    done = Job.objects.filter(kind__key=WASH, state=Job.State.DONE, actual_ends_at__isnull=False)
    rows = list(done.filter(order__boat__items__in=off).select_related("order").distinct())
    held = sails_of_jobs(rows)
    washed = {
        sail.pk
        for job in rows
        for sail in held[job.pk]
        if sail.pk in off and job.actual_ends_at is not None and job.actual_ends_at.date() >= off[sail.pk]
    }
    by_hand = Item.objects.filter(pk__in=off, washed_on__isnull=False).values_list("pk", "washed_on")
    return washed | {pk for pk, day in by_hand if day is not None and day >= off[pk]}


@transaction.atomic
def order_washing(picked: Collection[int], *, back_by: date | None, by: User | None, now: datetime) -> Ordered:
    """An order for each boat picked whose sails still wait: washed, dried, inspected, mended as approved, stored.

    A boat whose sails an order washes already is left, so pressing twice makes one. back_by: the last day on which
    they are to be stowed. Raises OrderRefused without the package, or for more than MOST_AT_ONCE.
    """
    if len(picked) > MOST_AT_ONCE:
        raise OrderRefused(f"At most {MOST_AT_ONCE} boats at once: tick fewer, then the rest.")
    bump_facts()
    package = Package.objects.filter(key=PACKAGE, archived=False).first()
    if package is None:
        raise OrderRefused("The package for washing and repairing sails is not on file: bring it in under Packages.")
    if back_by is not None and back_by < today_in_yard(now):
        raise OrderRefused(f"{back_by} is past: choose a day to come.")
    waiting = {each.boat.pk: each for each in waiting_sails()}
    orders, left = [], []
    for boat in Boat.objects.filter(pk__in=picked).order_by("name"):
        each = waiting.get(boat.pk)
        if each is None:
            left.append((boat.name, "its sails are in an order already, or came off no more"))
            continue
        try:
            orders.append(_order(each, package, back_by, by, now))
        except (OrderRefused, ValidationError) as refused:
            left.append((boat.name, "; ".join(getattr(refused, "messages", [str(refused)]))))
    return Ordered(tuple(orders), tuple(left))


def _order(each: Waiting, package: Package, back_by: date | None, by: User | None, now: datetime) -> Order:
    with transaction.atomic():
        order = order_package(
            each.boat,
            package,
            options=default_options(package, each.boat),
            dates=OrderDates(earliest=_winter_from(today_in_yard(now), back_by), latest=back_by),
            by=by,
            now=now,
            terms=Terms(notes=NOTE),
        )
        jobs = order.jobs.filter(kind__key__in=ON_SAILS)
        JobThing.objects.bulk_create(JobThing(job=job, item=sail) for job in jobs for sail in each.sails)
    return order


def _winter_from(today: date, back_by: date | None) -> date | None:
    """In autumn the loft has other work; None where they may be washed at once, or else would not be back in time."""
    starts = date(today.year, *WINTER)
    waits = date(today.year, *AUTUMN) <= today < starts
    return starts if waits and (back_by is None or back_by > starts) else None


@transaction.atomic
def take_back_washing(picked: Collection[int], *, by: User | None, now: datetime) -> tuple[int, int]:
    """Withdraw such orders. Gives how many went, and how many stay because their work is begun."""
    bump_facts()
    gone = stay = 0
    for order in Order.objects.filter(pk__in=picked, state=Order.State.OPEN, package__key=PACKAGE, notes=NOTE):
        if order.jobs.exclude(state__in=[Job.State.OPEN, Job.State.CANCELLED]).exists():
            stay += 1
            continue
        order.state = Order.State.CANCELLED
        save_order(order, "withdrawn: winter washing taken back", Sender(by, now, order.version))
        gone += 1
    return gone, stay
