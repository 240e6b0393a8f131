"""Washing as winter work: sails that came off and wait for it, and the orders that a person makes of them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import Boat, Item, ItemWhereabouts, Job, JobThing, Order, Package
from yard.queries.sails import ON_SAILS, WASH, sails_of_jobs, sails_off
from yard.services.change_order import Sender, save_order
from yard.services.facts_revision import bump_facts
from yard.services.order_package import (
    OrderDates,
    OrderRefused,
    Terms,
    WalkIn,
    default_options,
    order_package,
    today_in_yard,
)

PACKAGE = "sail_wash_and_repair"
MOST_AT_ONCE = 60
AUTUMN, WINTER = (8, 1), (11, 15)
"""Month and day: what comes off from the first is washed from the second on, after the haul-out (common practice)."""
NOTE = gettext_noop("Winter washing: proposed because its sails came off.")


@dataclass(frozen=True, slots=True)
class Waiting:
    """A boat whose sails came off and were not washed since, or a walk-in's order whose sail is here (boat: None).

    off_on: the first day of any of them in the yard; damp: any of them is.
    """

    boat: Boat | None
    walk_in: Order | None
    sails: tuple[Item, ...]
    off_on: date
    damp: bool

    @property
    def name(self) -> str:
        if self.boat is not None:
            return self.boat.name
        return self.walk_in.walk_in_name if self.walk_in is not None else ""


@dataclass(frozen=True, slots=True)
class Ordered:
    """orders: the new ones. left: boats that were not, each with the reason."""

    orders: tuple[Order, ...]
    left: tuple[tuple[str, str], ...]


def waiting_sails() -> list[Waiting]:
    """Boats by name, then walk-ins. Six queries, however many sails; none of a sail that an open order washes already.

    A walk-in's sail waits as long as it lies in the yard and its order is not withdrawn.
    """
    rows = [row for row in sails_off() if _may_wait(row.item)]
    off = _came_off([row.item for row in rows])
    asked = _in_open_orders() | _washed_since(off)
    whose: dict[tuple[bool, int], list[ItemWhereabouts]] = {}
    for row in rows:
        if row.item_id not in asked:
            key = (row.item.boat_id is None, row.item.boat_id or row.item.order_id or 0)
            whose.setdefault(key, []).append(row)
    found = [_waiting(mine, off) for mine in whose.values()]
    return sorted(found, key=lambda each: (each.boat is None, each.name.casefold(), each.sails[0].pk))


def _may_wait(sail: Item) -> bool:
    if sail.boat is not None:
        return not sail.boat.archived
    return sail.order is not None and sail.order.boat_id is None and sail.order.state != Order.State.CANCELLED


def _waiting(rows: Sequence[ItemWhereabouts], off: dict[int, date]) -> Waiting:
    first = rows[0].item
    damp = any(row.condition == ItemWhereabouts.Condition.DAMP for row in rows)
    walk_in = first.order if first.boat is None else None
    sails = tuple(row.item for row in rows)
    return Waiting(first.boat, walk_in, sails, min(off[row.item_id] for row in rows), damp)


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
    theirs = Q(order__boat__items__in=off) | Q(order__items__in=off) | Q(things__item__in=off)
    rows = list(done.filter(theirs).select_related("order").distinct())
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
def order_washing(
    picked: Collection[int],
    *,
    walk_ins: Collection[int] = (),
    back_by: date | None,
    by: User | None,
    now: datetime,
) -> Ordered:
    """An order for each whose sails still wait: washed, dried, inspected, mended as approved, stored.

    picked: ids of boats. walk_ins: ids of walk-ins' orders. Whose sails an order washes already is left, so pressing
    twice makes one. back_by: the last day on which they are to be stowed. Raises OrderRefused without the package, or
    for more than MOST_AT_ONCE.
    """
    if len(picked) + len(walk_ins) > MOST_AT_ONCE:
        raise OrderRefused(_("At most {most} at once: tick fewer, then the rest.").format(most=MOST_AT_ONCE))
    bump_facts()
    package = Package.objects.filter(key=PACKAGE, archived=False).first()
    if package is None:
        raise OrderRefused(_("The package for washing and repairing sails is not on file: bring it in under Packages."))
    if back_by is not None and back_by < today_in_yard(now):
        raise OrderRefused(_("{day} is past: choose a day to come.").format(day=back_by))
    waiting = {_key(each): each for each in waiting_sails()}
    orders, left = [], []
    for key, name in _names(picked, walk_ins):
        each = waiting.get(key)
        if each is None:
            left.append((name, _("its sails are in an order already, or came off no more")))
            continue
        try:
            orders.append(_order(each, package, back_by, by, now))
        except (OrderRefused, ValidationError) as refused:
            left.append((name, "; ".join(getattr(refused, "messages", [str(refused)]))))
    return Ordered(tuple(orders), tuple(left))


Key = tuple[bool, int]
"""Whether it is a walk-in's, and the id of the boat or of the walk-in's order."""


def _key(each: Waiting) -> Key:
    return (False, each.boat.pk) if each.boat is not None else (True, each.walk_in.pk if each.walk_in else 0)


def _names(picked: Collection[int], walk_ins: Collection[int]) -> list[tuple[Key, str]]:
    boats = Boat.objects.filter(pk__in=picked).order_by("name").values_list("pk", "name")
    people = Order.objects.filter(pk__in=walk_ins, boat=None).order_by("walk_in_name", "pk")
    named = people.values_list("pk", "walk_in_name")
    return [*(((False, pk), name) for pk, name in boats), *(((True, pk), name) for pk, name in named)]


def _order(each: Waiting, package: Package, back_by: date | None, by: User | None, now: datetime) -> Order:
    with transaction.atomic():
        order = order_package(
            each.boat,
            package,
            options=default_options(package, each.boat),
            dates=OrderDates(earliest=_winter_from(today_in_yard(now), back_by), latest=back_by),
            by=by,
            now=now,
            terms=Terms(notes=_(NOTE), walk_in=_who(each)),
        )
        jobs = order.jobs.filter(kind__key__in=ON_SAILS)
        JobThing.objects.bulk_create(JobThing(job=job, item=sail) for job in jobs for sail in each.sails)
    return order


def _who(each: Waiting) -> WalkIn | None:
    """Who brought it, as on the order that it came with."""
    came_with = each.walk_in
    if came_with is None:
        return None
    tag = came_with.bag_tag or next((sail.bag_tag for sail in each.sails if sail.bag_tag), "")
    return WalkIn(name=came_with.walk_in_name, phone=came_with.walk_in_phone, bag_tag=tag)


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
    for order in Order.objects.filter(pk__in=picked, state=Order.State.OPEN, package__key=PACKAGE, notes=_(NOTE)):
        if order.jobs.exclude(state__in=[Job.State.OPEN, Job.State.CANCELLED]).exists():
            stay += 1
            continue
        order.state = Order.State.CANCELLED
        save_order(order, _("withdrawn: winter washing taken back"), Sender(by, now, order.version))
        gone += 1
    return gone, stay
