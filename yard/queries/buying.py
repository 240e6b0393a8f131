"""The buying list: by when each line is to be ordered so that the plan keeps its day, what is late, whom it delays."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db.models import Min, Q

from yard.models import FactKind, Order, PlannedJob, Purchase, Supplier

State = Purchase.State


@dataclass(frozen=True)
class Line:
    """One line. needed: the day its work begins in the posted plan (planned), else the owner's day, None for neither
    and where nobody cuts it, because its order is done or withdrawn (closed).

    order_by_sure: with the supplier's most days; order_by_usual: with their usual ones. days_late: how much later than
    needed it is expected, 0 for in time. past_sure_days: to be ordered, and so many days ago it had to be to come in
    time even in the supplier's most days. overdue: its day has passed and it is not here.
    """

    purchase: Purchase
    needed: date | None
    planned: bool
    order_by_sure: date | None
    order_by_usual: date | None
    expected: date | None
    days_late: int
    past_sure_days: int
    overdue: bool
    closed: bool
    cost: Decimal | None


@dataclass(frozen=True)
class OfSupplier:
    supplier: Supplier | None
    lines: tuple[Line, ...]
    cost: Decimal | None


def buying_list(*, today: date, zone: ZoneInfo) -> list[OfSupplier]:
    """Lines to order and on their way, by supplier, the most pressing first. Two queries, however many."""
    lines = _lines([State.TO_ORDER, State.ORDERED], today=today, zone=zone)
    groups: dict[int, list[Line]] = {}
    suppliers: dict[int, Supplier | None] = {}
    for line in sorted(lines, key=lambda each: (each.order_by_sure or date.max, each.purchase.pk)):
        supplier = line.purchase.material.supplier
        suppliers[supplier.pk if supplier else 0] = supplier
        groups.setdefault(supplier.pk if supplier else 0, []).append(line)
    return [OfSupplier(suppliers[pk], tuple(rows), _sum(rows)) for pk, rows in groups.items()]


def waiting_to_be_cut(*, today: date, zone: ZoneInfo) -> list[Line]:
    """What lies in the yard for an order, from stock or arrived, the most pressing first. Two queries."""
    lines = _lines([State.HERE], today=today, zone=zone)
    return sorted(lines, key=lambda line: (line.needed or date.max, line.purchase.pk))


def _lines(states: list[str], *, today: date, zone: ZoneInfo) -> list[Line]:
    rows = list(
        Purchase.objects.filter(state__in=states)
        .exclude(~Q(order__state=Order.State.OPEN), state=State.TO_ORDER)
        .select_related("order__boat", "material__supplier", "stock__material", "stock__place")
        .order_by("id")
    )
    orders = {row.order_id for row in rows}
    starts = (
        PlannedJob.objects.filter(
            plan__state="posted", job__order__in=orders, job__facts__kind=FactKind.CLOTH, job__state="open"
        )
        .values_list("job__order")
        .annotate(first=Min("starts_at"))
        .order_by()
    )
    begins = {order: first.astimezone(zone).date() for order, first in starts}
    return [_line(row, begins.get(row.order_id), today) for row in rows]


def _line(row: Purchase, begins: date | None, today: date) -> Line:
    order = row.order
    closed = order.state != Order.State.OPEN
    needed = None if closed else begins or order.promised_date or order.latest_date or order.wanted_date
    _, usual, most = row.lead_days
    expected = row.expected_date if row.state == State.ORDERED else None
    if row.state == State.TO_ORDER:
        expected = today + timedelta(days=usual)
    likely = max(expected, today) if expected else None
    sure = needed - timedelta(days=most) if needed else None
    return Line(
        purchase=row,
        needed=needed,
        planned=begins is not None,
        order_by_sure=sure,
        order_by_usual=needed - timedelta(days=usual) if needed else None,
        expected=expected,
        days_late=max(0, (likely - needed).days) if likely and needed else 0,
        past_sure_days=max(0, (today - sure).days) if sure and row.state == State.TO_ORDER else 0,
        overdue=row.state == State.ORDERED and row.expected_date is not None and row.expected_date < today,
        closed=closed,
        cost=row.material.cost_of(row.quantity),
    )


def _sum(lines: list[Line]) -> Decimal | None:
    known = [line.cost for line in lines if line.cost is not None]
    return sum(known, Decimal()) if known else None
