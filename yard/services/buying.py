"""The buying list: what an order's take-offs ask for, from stock first; ordered, expected, here, cut.

It alone says of an order's cloth that it is here, or when it is expected: work waits on that fact.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date, datetime, timedelta

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import Sum
from django.utils.translation import gettext as _

from yard.models import (
    CanvasPanel,
    Fact,
    FactKind,
    Job,
    Material,
    MaterialUsed,
    Order,
    Purchase,
    Stock,
    TakeOff,
)
from yard.services.facts_revision import bump_facts
from yard.services.order_package import demand_open, today_in_yard
from yard.services.pen import Pen
from yard.services.say_fact import Expected, FactRefused, Here, say_fact
from yard.services.take_off import is_old

State = Purchase.State
OPEN = (State.TO_ORDER, State.ORDERED)


class BuyingRefused(Exception):
    """This cannot be; the text says why and what to do. Nothing was saved."""


@transaction.atomic
def put_on_list(row: TakeOff, *, by: User | None, now: datetime) -> Purchase:
    """What a take-off asks for: kept from the shortest roll that is long enough, else to be bought. Twice is once.

    A line that is only to be ordered follows the take-off; one that is ordered or here is not changed.
    Raises OrderRefused where the order is done or withdrawn, BuyingRefused where the panels changed since.
    """
    demand_open(row.order)
    if is_old(row):
        raise BuyingRefused(_("Panels, options or the material changed since: take it off again first."))
    bump_facts()
    pen = Pen(by, now, today_in_yard(now), _("put on the buying list"))
    way = row.chosen_way
    line = Purchase.objects.filter(order=row.order, material=row.material).exclude(state=State.CANCELLED).first()
    if line is not None and not _follows(line):
        return line
    line = line or Purchase(order=row.order, material=row.material)
    _keep_or_buy(line, way["use"], pen, to_order=way["order"])
    _tell_order(row.order, pen)
    return line


@transaction.atomic
def want(order: Order, wanted: Mapping[Material, int], *, no_more: Collection[Material], pen: Pen) -> list[str]:
    """Put what an order's options need on the list, from stock first; lines that follow no cutting plan.

    A line that is only to be ordered follows; what is ordered, here or cut stays as it is, and is named in the answer.
    no_more: what its options needed before; such a line goes, unless it is on its way.
    """
    demand_open(order)
    bump_facts()
    stays = []
    for material, quantity in wanted.items():
        line = Purchase.objects.filter(order=order, material=material).exclude(state=State.CANCELLED).first()
        if line is not None and line.quantity == quantity:
            continue
        if line is not None and not _follows(line):
            stays.append(
                _("{line} is {state} already: see that it is enough").format(line=line, state=line.get_state_display())
            )
            continue
        _keep_or_buy(line or Purchase(order=order, material=material), quantity, pen)
    for line in Purchase.objects.filter(order=order, material__in=no_more).exclude(state=State.CANCELLED):
        if not _follows(line):
            stays.append(
                _("{line} is {state} already and stays on the list").format(line=line, state=line.get_state_display())
            )
            continue
        line.state, line.stock = State.CANCELLED, None
        pen.sign(line)
        line.save()
    _tell_order(order, pen)
    return stays


def _follows(line: Purchase) -> bool:
    """Nobody has ordered it yet."""
    return line.state == State.TO_ORDER or (line.state == State.HERE and line.from_stock)


def _keep_or_buy(line: Purchase, quantity: int, pen: Pen, *, to_order: int | None = None) -> None:
    """From stock where it is there, else to be bought. to_order: what is ordered for it, where that is more."""
    line.stock = None
    found = stock_for(line.material, quantity, but_for=line)
    line.from_stock, line.stock = found is not None, found
    line.quantity = quantity if found is not None or to_order is None else to_order
    line.state, line.here_on = (State.HERE, pen.today) if found is not None else (State.TO_ORDER, None)
    line.full_clean()
    pen.sign(line)
    line.save()


def stock_for(material: Material, quantity: int, *, but_for: Purchase) -> Stock | None:
    """The shortest roll, or the smallest pile, that has so much not kept for others."""
    rows = Stock.objects.select_for_update().filter(material=material, archived=False)
    fits = [(free, each.pk, each) for each in rows if (free := free_of(each, but_for=but_for)) >= quantity]
    return min(fits, key=lambda fit: fit[:2])[2] if fits else None


def free_of(stock: Stock, *, but_for: Purchase | None = None) -> int:
    """What of it is kept for nobody: millimetres, or sheets. One query."""
    kept = stock.kept_for.filter(state=State.HERE)
    if but_for is not None and but_for.pk is not None:
        kept = kept.exclude(pk=but_for.pk)
    return stock.left - (kept.aggregate(all=Sum("quantity"))["all"] or 0)


@transaction.atomic
def say_ordered(
    line: Purchase, *, expected: date | None, told_by: str, seen_version: int, by: User | None, now: datetime
) -> date:
    """Ordered today, or expected on another day; that day. expected: None for the supplier's usual days.

    Raises StaleRow, BuyingRefused.
    """
    bump_facts()
    pen = Pen(
        by, now, today_in_yard(now), _("ordered") if line.state == State.TO_ORDER else _("expected on another day")
    )
    if line.state not in OPEN:
        raise BuyingRefused(_("{line} is {state} already.").format(line=line, state=line.get_state_display()))
    if expected is not None and expected < pen.today:
        raise BuyingRefused(_("That day has passed: say that it is here, or when it is expected now."))
    line.ordered_on = line.ordered_on or pen.today
    line.state = State.ORDERED
    line.expected_date = day = expected or line.ordered_on + timedelta(days=line.lead_days[1])
    line.told_by = told_by.strip()[:120] if expected else ""
    _save(line, seen_version, pen)
    return day


@transaction.atomic
def say_here(line: Purchase, *, seen_version: int, by: User | None, now: datetime) -> Purchase:
    """It came: it lies in the yard from now on, kept for its order. Raises StaleRow, BuyingRefused."""
    bump_facts()
    pen = Pen(by, now, today_in_yard(now), _("here"))
    if line.state not in OPEN:
        raise BuyingRefused(_("{line} is {state} already.").format(line=line, state=line.get_state_display()))
    stock = Stock(material=line.material, label=line.order.ref)
    stock.left = line.quantity
    pen.write([stock])
    line.state, line.here_on, line.stock = State.HERE, pen.today, stock
    return _save(line, seen_version, pen)


@transaction.atomic
def say_cut(line: Purchase, *, used: int | None, seen_version: int, by: User | None, now: datetime) -> Purchase:
    """It is cut: the roll is so much shorter. used: None for what the plan takes. Raises StaleRow, BuyingRefused."""
    bump_facts()
    pen = Pen(by, now, today_in_yard(now), "cut")
    if line.state != State.HERE or line.stock is None:
        raise BuyingRefused(
            _("{line} is {state}: only what is here is cut.").format(line=line, state=line.get_state_display())
        )
    take = _planned_use(line) if used is None else used
    stock = Stock.objects.select_for_update().select_related("material").get(pk=line.stock.pk)
    if not 1 <= take <= stock.left:
        raise BuyingRefused(_("{stock} has less than that: count it again on its page.").format(stock=stock))
    stock.left -= take
    stock.archived = stock.left == 0
    pen.sign(stock)
    stock.save()
    line.state = State.CUT
    _note_used(line, take, pen)
    return _save(line, seen_version, pen)


@transaction.atomic
def take_off_list(line: Purchase, *, seen_version: int, by: User | None, now: datetime) -> Purchase:
    """Not wanted any more: what was kept of stock is free again. Raises StaleRow, BuyingRefused."""
    bump_facts()
    pen = Pen(by, now, today_in_yard(now), _("not wanted any more"))
    if line.state in (State.CUT, State.CANCELLED):
        raise BuyingRefused(_("{line} is {state} already.").format(line=line, state=line.get_state_display()))
    line.state, line.stock = State.CANCELLED, None
    return _save(line, seen_version, pen)


def _planned_use(line: Purchase) -> int:
    row = TakeOff.objects.filter(order=line.order, material=line.material).first()
    if row is None:
        return line.quantity
    return min(line.quantity, int(row.chosen_way["use"]))


def _note_used(line: Purchase, take: int, pen: Pen) -> None:
    """What a job took is noted with it, so that next year knows what this one cost."""
    job = line.order.jobs.filter(key="cut").exclude(state=Job.State.CANCELLED).first()
    if job is not None:
        counted = line.material.is_counted
        MaterialUsed.objects.create(
            job=job,
            name=line.material.name,
            quantity=take if counted else take / 1000,
            unit=f"{line.material.counted_in}s" if counted else "m",
            used_on=pen.today,
            noted_by=pen.by,
            noted_at=pen.now,
        )


def _save(line: Purchase, seen_version: int, pen: Pen) -> Purchase:
    line.full_clean()
    pen.sign(line)
    line.save_over(seen_version)
    _tell_order(line.order, pen)
    return line


def _tell_order(order: Order, pen: Pen) -> None:
    """The order's cloth is here when all that its panels are cut from is; else expected when the last of it is."""
    said = _said(order, pen.today)
    if said is None:
        return
    for fact in Fact.objects.filter(order=order, kind=FactKind.CLOTH):
        if _says(fact) != said:
            say_fact(fact, said, seen_version=fact.version, today=pen.today, by=pen.by, now=pen.now)


def _says(fact: Fact) -> Here | Expected | None:
    """What it says already. Cloth that is here stays here since the day on which it came."""
    try:
        match fact.state:
            case Fact.State.HERE:
                return Here(fact.here_since) if fact.here_since else None
            case Fact.State.EXPECTED if fact.expected_date is not None:
                return Expected(fact.expected_date, fact.told_by, fact.guess)
    except FactRefused:
        return None
    return None


def _said(order: Order, today: date) -> Here | Expected | None:
    """None where nothing is on the list: what people said stands."""
    lines = list(
        Purchase.objects.filter(order=order).exclude(state=State.CANCELLED).select_related("material__supplier")
    )
    if not lines:
        return None
    panels = CanvasPanel.objects.filter(piece__order=order, piece__archived=False, taken_out_at=None)
    listed = {line.material_id for line in lines}
    missing = set(panels.values_list("material_id", flat=True)) - listed
    if not missing and all(line.state in (State.HERE, State.CUT) for line in lines):
        return Here(max(line.here_on or today for line in lines))
    to_order = [line for line in lines if line.state == State.TO_ORDER]
    days = [line.expected_date for line in lines if line.state == State.ORDERED and line.expected_date]
    days += [today + timedelta(days=line.lead_days[1]) for line in to_order]
    if missing or to_order or not days:
        return Expected(max([*days, today + timedelta(days=1)]), guess=True)
    last = max(days)
    told = next(line.told_by for line in lines if line.expected_date == last)
    if told:
        return Expected(max(last, today), told)
    return Expected(max(last, today), guess=True)
