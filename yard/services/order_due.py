"""What falls due made into orders: one by one or together, and never twice.

A boat, or a mooring of a boat's permit, gets an order of that boat for each package; the yard's own gear, and a
mooring that no boat has, an order of the yard itself, all pieces of an interval in one.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from yard.models import (
    Boat,
    DueOrder,
    Gear,
    Interval,
    Item,
    ItemWhereabouts,
    Job,
    JobWay,
    Mooring,
    Order,
    YardSettings,
)
from yard.queries.due import Due, all_due, key_of
from yard.services.change_order import Sender, save_order
from yard.services.facts_revision import bump_facts
from yard.services.order_package import OrderDates, OrderRefused, Terms, WalkIn, default_options, order_package
from yard.services.pen import sign

MOST_AT_ONCE = 100
UNSTEPPED_FROM = (9, 15)
"""Month and day from which masts come off (mid-September to mid-November: common practice)."""
YARD_ITSELF = gettext_noop("The yard itself")
"""Who asked for work on the yard's own gear, where an order names its boat or a person."""


@dataclass(frozen=True, slots=True)
class OrderedDue:
    """orders: the new ones. left: what was not ordered, each with the reason."""

    orders: tuple[Order, ...]
    left: tuple[tuple[str, str], ...]


@transaction.atomic
def order_due(
    picked: Collection[str], *, by_day: date, by: User | None, now: datetime, today: date, yard: YardSettings
) -> OrderedDue:
    """Orders for what is picked ("12:boat-3", an interval and its subject) and still open.

    What an order does already is left, so pressing twice makes one. Raises OrderRefused for more than MOST_AT_ONCE.
    """
    if len(picked) > MOST_AT_ONCE:
        raise OrderRefused(_("At most {most} at once: tick fewer, then the rest.").format(most=MOST_AT_ONCE))
    bump_facts()
    rows = {f"{each.interval.pk}:{each.key}": each for each in all_due(by_day=by_day, today=today, yard=yard)}
    left: list[tuple[str, str]] = []
    groups: dict[tuple[str, int], list[Due]] = {}
    for key in dict.fromkeys(picked):
        each = rows.get(key)
        if each is None:
            continue
        if why := _why_not(each):
            left.append((f"{each.subject}, {each.interval}", why))
        elif each.interval.package is not None:
            groups.setdefault((_for_whom(each), each.interval.package.pk), []).append(each)
    orders = []
    for group in groups.values():
        try:
            orders.append(_order(group, by, now, today))
        except (OrderRefused, ValidationError) as refused:
            why = "; ".join(getattr(refused, "messages", [str(refused)]))
            left += [(f"{each.subject}, {each.interval}", why) for each in group]
    return OrderedDue(tuple(orders), tuple(left))


def _why_not(each: Due) -> str:
    if each.order is not None:
        return _("order {ref} does it already").format(ref=each.order.ref)
    if each.interval.package is None:
        return _("its interval names no package to order: choose one on its page")
    return "" if each.is_open else _("it is not due by that day")


def boat_of(each: Due) -> Boat | None:
    """Whose order it is; None: the yard's own."""
    if isinstance(each.subject, Boat):
        return each.subject
    return each.subject.permit_boat if isinstance(each.subject, Mooring) else each.subject.boat


def _for_whom(each: Due) -> str:
    boat = boat_of(each)
    if boat is not None:
        return f"boat-{boat.pk}"
    return f"interval-{each.interval.pk}" if isinstance(each.subject, Gear) else each.key


def _order(group: Sequence[Due], by: User | None, now: datetime, today: date) -> Order:
    """One for all of a group; what is over already is wanted now."""
    first, package = group[0], group[0].interval.package
    assert package is not None
    boat = boat_of(first)
    days = [each.due_on for each in group if each.due_on is not None]
    earliest = _mast_down_from(boat, today) if first.interval.covers == Interval.Covers.RIG and boat else None
    wanted = max(min(days), today, *([earliest] if earliest else [])) if days else None
    notes = "; ".join(f"{each.interval}: {_due_words(each)}" for each in group)
    with transaction.atomic():
        order = order_package(
            boat,
            package,
            options=default_options(package, boat),
            dates=OrderDates(earliest=earliest, wanted=wanted),
            by=by,
            now=now,
            terms=Terms(
                notes=_("Fell due. {notes}").format(notes=notes)[:500],
                walk_in=WalkIn(name=_(YARD_ITSELF)) if boat is None else None,
                to_mooring=first.subject if isinstance(first.subject, Mooring) else None,
            ),
        )
        DueOrder.objects.bulk_create(
            DueOrder(interval=each.interval, due_on=each.due_on, order=order, **{key_of(each.subject): each.subject})
            for each in group
        )
        if isinstance(first.subject, Gear):
            _for_so_many(order, group, by, now)
    return order


def _mast_down_from(boat: Boat, today: date) -> date | None:
    """Rigs are surveyed with the mast down: from autumn on where it is stepped and nothing says when it comes off."""
    unstep = Job.objects.filter(order__boat=boat, kind__key="unstep", state__in=("open", "started", "failed"))
    masts = ItemWhereabouts.objects.filter(item__boat=boat, item__kind=Item.Kind.MAST, item__archived=False)
    last = masts.order_by("-since", "-id").first()
    if unstep.exists() or (last is not None and last.kind == ItemWhereabouts.Kind.PLACE):
        return None
    this_year = date(today.year, *UNSTEPPED_FROM)
    return this_year if this_year >= today else date(today.year + 1, *UNSTEPPED_FROM)


def _due_words(each: Due) -> str:
    named = str(each.part) if each.part is not None else str(each.subject)
    if each.due_on is None:
        return _("{named}, no day on file").format(named=named)
    return _("{named}, due {day}").format(named=named, day=each.due_on)


def _for_so_many(order: Order, group: Sequence[Due], by: User | None, now: datetime) -> None:
    """The package's time is for one piece; the job names them all."""
    for way in JobWay.objects.filter(job__order=order):
        way.duration_min *= len(group)
        sign(way, by=by, now=now, reason=ngettext("{n} piece", "{n} pieces", len(group)).format(n=len(group)))
        way.save()
    for job in order.jobs.all():
        job.cautions = "\n".join(part for part in (job.cautions, group[0].interval.cautions) if part)
        job.name = f"{job.name}: {', '.join(str(each.subject) for each in group)}"[:80]
        sign(job, by=by, now=now, reason=_("its pieces named"))
        job.save()


@transaction.atomic
def take_back_due(picked: Collection[int], *, by: User | None, now: datetime) -> tuple[int, int]:
    """Withdraw orders that were made of what fell due. Gives how many went, and how many stay: begun meanwhile."""
    bump_facts()
    gone = stay = 0
    for order in Order.objects.filter(pk__in=picked, state=Order.State.OPEN, made_for_due__isnull=False).distinct():
        if order.jobs.exclude(state__in=[Job.State.OPEN, Job.State.CANCELLED]).exists():
            stay += 1
            continue
        order.state = Order.State.CANCELLED
        save_order(order, _("withdrawn: what fell due, taken back"), Sender(by, now, order.version))
        gone += 1
    return gone, stay
