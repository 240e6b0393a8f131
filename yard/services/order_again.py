"""Last year's orders taken again in bulk, a year on and not yet confirmed; and the whole of it taken back."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import Prefetch
from django.utils.translation import gettext as _

from yard.models import Job, Order
from yard.services.change_order import Sender, save_order
from yard.services.facts_revision import bump_facts
from yard.services.order_package import OrderDates, OrderRefused, Terms, order_package
from yard.services.pen import sign

A_YEAR_ON = timedelta(weeks=52)
"""The same day of the week, a year on: yards and owners think in weekends."""
MOST_AT_ONCE = 60


@dataclass(frozen=True)
class TakenAgain:
    """orders: the new ones. left: last year's that were not taken, each with the reason."""

    orders: tuple[Order, ...]
    left: tuple[tuple[Order, str], ...]


def orders_of_year(year: int) -> list[Order]:
    """Orders of boats that are still on file, of that year by day_of; of their copies those that stand."""
    alive = Order.objects.exclude(state=Order.State.CANCELLED).order_by("id")
    rows = (
        Order.objects.filter(boat__isnull=False, boat__archived=False, package__isnull=False)
        .exclude(state=Order.State.CANCELLED)
        .select_related("boat", "package")
        .prefetch_related(Prefetch("copies", alive))
        .order_by("boat__name", "boat_id", "made_at", "id")
    )
    return [order for order in rows if day_of(order).year == year]


def day_of(order: Order) -> date:
    """The day that says which year an order belongs to: promised, else wanted, latest, earliest, else taken."""
    said = order.promised_date or order.wanted_date or order.latest_date or order.earliest_date
    return said or order.made_at.date()


@transaction.atomic
def take_again(picked: Collection[int], *, by: User | None, now: datetime) -> TakenAgain:
    """A new order for each that is picked; one that was taken again already is left, so pressing twice makes one.

    Its dates lie a year on; nothing is promised yet, and it is marked as not confirmed. Raises OrderRefused for more
    than MOST_AT_ONCE.
    """
    if len(picked) > MOST_AT_ONCE:
        raise OrderRefused(_("At most {most} orders at once: tick fewer, then the rest.").format(most=MOST_AT_ONCE))
    bump_facts()
    taken, left = [], []
    for last in Order.objects.filter(pk__in=picked).select_related("boat", "package").order_by("id"):
        if last.copies.exclude(state=Order.State.CANCELLED).exists():
            left.append((last, _("taken already")))
            continue
        try:
            taken.append(_again(last, by=by, now=now))
        except OrderRefused as refused:
            left.append((last, str(refused)))
    return TakenAgain(tuple(taken), tuple(left))


def _again(last: Order, *, by: User | None, now: datetime) -> Order:
    if last.package is None or last.boat is None:
        raise OrderRefused(_("it was made from no package, or for no boat on file"))
    known = set(last.package.options.values_list("key", flat=True))
    terms = Terms(
        goes_first=last.goes_first,
        covers_gate_delivery=last.covers_gate_delivery,
        to_mooring=last.to_mooring,
        notes=last.notes,
    )
    dates = OrderDates(
        earliest=_on(last.earliest_date),
        wanted=_on(last.wanted_date or last.promised_date),
        latest=_on(last.latest_date),
    )
    with transaction.atomic():
        order = order_package(
            last.boat, last.package, options=known & set(last.options), dates=dates, by=by, now=now, terms=terms
        )
        order.copied_from, order.unconfirmed = last, True
        sign(order, by=by, now=now, reason=_("as last year's {ref}").format(ref=last.ref))
        order.save()
    return order


def _on(day: date | None) -> date | None:
    return day + A_YEAR_ON if day else None


@transaction.atomic
def take_back(picked: Collection[int], *, by: User | None, now: datetime) -> tuple[int, int]:
    """Withdraw orders that were taken again. Gives how many went, and how many stay: begun, or confirmed meanwhile."""
    bump_facts()
    gone = stay = 0
    for order in Order.objects.filter(pk__in=picked, state=Order.State.OPEN, copied_from__isnull=False):
        if not order.unconfirmed or order.jobs.exclude(state__in=[Job.State.OPEN, Job.State.CANCELLED]).exists():
            stay += 1
            continue
        order.state = Order.State.CANCELLED
        save_order(order, _("withdrawn: taken again by mistake"), Sender(by, now, order.version))
        gone += 1
    return gone, stay
