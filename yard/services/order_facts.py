"""The facts that an order's jobs wait on: shared with the boat's other open work, here already, or a marked guess."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date, timedelta

from django.db import models

from yard.models import Fact, FactKind, Job, Order, PackageFact
from yard.services.pen import Pen

GUESS_DAYS_BEFORE_WANTED = 7
"""A guess is not later than this before the day she is wanted, where people can hurry (common practice)."""
HURRIED = {FactKind.APPROVAL, FactKind.DEPOSIT, FactKind.PERMIT, FactKind.DATA_SHEET, FactKind.TACKLE_SET}


def copy_facts(order: Order, copies: Mapping[int, Job], pen: Pen, *, only: Collection[str] | None = None) -> None:
    """only: keys of the package's facts that may come; None: all."""
    assert order.package is not None
    for row in order.package.facts.select_related("option").prefetch_related("jobs"):
        if only is not None and row.key not in only:
            continue
        if waiting := waiting_jobs(row, order, copies):
            fact = _fact_of_boat(row, order) or _fact_of_order(row, order) or _new_fact(row, order, pen)
            fact.jobs.add(*waiting)


def waiting_jobs(row: PackageFact, order: Order, copies: Mapping[int, Job]) -> list[Job]:
    """The order's jobs that wait for this fact; none where it is known, or an option that brings it is off."""
    if row.option is not None and row.option.key not in order.options:
        return []
    if row.kind == FactKind.DRAFT and order.boat is not None and order.boat.draft_m is not None:
        return []  # known: nothing waits
    return [copies[job.pk] for job in row.jobs.all() if job.pk in copies]


def _fact_of_boat(row: PackageFact, order: Order) -> Fact | None:
    """The same fact of the boat that other open work waits for already."""
    if not row.of_boat or order.boat is None:
        return None
    same = Fact.objects.filter(boat=order.boat, order=None, kind=row.kind)
    return same.filter(models.Q(jobs__order__state=Order.State.OPEN)).order_by("-set_at", "-id").first()


def _fact_of_order(row: PackageFact, order: Order) -> Fact | None:
    """The fact that the order has already, where an option brings more jobs that wait for it."""
    return Fact.objects.filter(order=order, kind=row.kind, name=row.name).order_by("id").first()


def _new_fact(row: PackageFact, order: Order, pen: Pen) -> Fact:
    fact = fact_from(row, order, pen)
    fact.full_clean()
    pen.write([fact])
    return fact


def fact_from(row: PackageFact, order: Order, pen: Pen) -> Fact:
    """The fact of an order, not yet saved: here, expected by a marked guess, or unknown."""
    of_boat = row.of_boat and order.boat is not None
    fact = Fact(
        kind=row.kind,
        name=row.name,
        boat=order.boat if of_boat else None,
        order=None if of_boat else order,
        set_by=pen.by,
        set_at=pen.now,
    )
    if of_boat and _is_here(row, order):
        fact.state = Fact.State.HERE
    elif row.default_days is not None:
        fact.state, fact.guess = Fact.State.EXPECTED, True
        fact.expected_date = _guess(row, order, pen.today)
    return fact


def _is_here(row: PackageFact, order: Order) -> bool:
    """Whether the mooring she goes to shows that the fact is here already."""
    mooring = order.to_mooring or (order.boat.permit_moorings.order_by("id").first() if order.boat else None)
    if mooring is None:
        return False
    needed = order.promised_date or order.latest_date or order.wanted_date or order.earliest_date
    if row.kind == FactKind.PERMIT:
        expires = mooring.permit_expires_on
        return (
            needed is not None and expires is not None and mooring.permit_boat_id == order.boat_id and expires >= needed
        )
    if row.kind == FactKind.TACKLE_SET:
        set_on = mooring.tackle_set_on
        return order.season is not None and set_on is not None and order.season.holds(set_on)
    return False


def _guess(row: PackageFact, order: Order, today: date) -> date:
    """The package's days after ordering; where people can hurry, at most up to a week before she is wanted."""
    guess = today + timedelta(days=row.default_days or 0)
    wanted = order.promised_date or order.wanted_date or order.latest_date
    if wanted is None or row.kind not in HURRIED:
        return guess
    return max(today + timedelta(days=1), min(guess, wanted - timedelta(days=GUESS_DAYS_BEFORE_WANTED)))
