"""The example's orders as rows, through the yard's own ordering, and what is known of the facts they wait for."""

from __future__ import annotations

import random
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from yard.models import Boat, Fact, FactKind, Job, JobLink, Mooring, Order, Package, ProductSheet
from yard.services.example_yard.many_orders import Wanted, order_many
from yard.services.example_yard.pen import Pen
from yard.services.example_yard.wishes import Wish
from yard.services.order_package import OrderDates, Terms, WalkIn

UNKNOWN = {"S": 1, "M": 2, "L": 4}
"""How many facts nobody can say anything about, beside the drafts."""


def write_orders(wishes: Sequence[Wish], boats: Sequence[Boat], pen: Pen) -> list[Order]:
    """Every wish as an order, in their order; then names for ever, and what is not the yard's to do."""
    packages = {package.key: package for package in Package.objects.all()}
    lent = list(Mooring.objects.filter(temporary=True, orders=None).order_by("ref"))
    wanted = []
    for number, wish in enumerate(wishes):
        mooring = lent.pop(0) if wish.temporary_mooring and lent else None
        at = pen.moment(wish.made_on, time(9, number % 60))
        wanted.append(_wanted(wish, boats, packages[wish.package], mooring, at))
    orders = order_many(wanted, pen)
    _set_sheets(orders, pen)
    _mark_jobs(orders, wishes, pen)
    return orders


def _wanted(wish: Wish, boats: Sequence[Boat], package: Package, mooring: Mooring | None, at: datetime) -> Wanted:
    walk_in = None
    if wish.walk_in:
        walk_in = WalkIn(
            name=wish.walk_in, phone="609-555-0199", bag_tag=f"W{wish.made_on:%d%m}", price_said="by the hour, said so"
        )
    return Wanted(
        boat=boats[wish.boat] if wish.boat is not None else None,
        package=package,
        options=wish.options,
        dates=OrderDates(
            earliest=wish.earliest,
            wanted=wish.wanted,
            latest=wish.latest,
            promised=wish.promised,
            fixed_delivery_at=wish.fixed_at,
        ),
        terms=Terms(
            goes_first=wish.goes_first,
            covers_gate_delivery=wish.covers_gate,
            to_mooring=mooring,
            walk_in=walk_in,
            notes="A mooring of the yard's until hers is ready." if mooring is not None else "",
        ),
        at=at,
    )


def _mark_jobs(orders: Sequence[Order], wishes: Sequence[Wish], pen: Pen) -> None:
    """Jobs get names that follow from the seed; those that somebody else does are cancelled, with the reason."""
    by_order: dict[int, list[Job]] = {}
    for job in Job.objects.filter(order__in=orders).select_related("order").order_by("order_id", "sequence", "id"):
        by_order.setdefault(job.order_id, []).append(job)
    cancelled = []
    for order, wish in zip(orders, wishes, strict=True):
        for job in by_order[order.pk]:
            if job.key in wish.not_by_us:
                job.state, job.state_note = Job.State.CANCELLED, wish.why_not
                cancelled.append(job)
        order.unconfirmed = wish.unconfirmed
    name_jobs([job for order in orders for job in by_order[order.pk]], pen)
    at = max(order.made_at for order in orders)
    pen.update(cancelled, ["state", "state_note"], at)
    pen.update([order for order in orders if order.unconfirmed], ["unconfirmed"], at)


def name_jobs(jobs: Sequence[Job], pen: Pen) -> None:
    """Names that follow from the seed, in place of those that chance gave. jobs: with their orders."""
    for job in jobs:
        job.uid = pen.uid(f"{job.order.ref} {job.key}")
    Job.objects.bulk_update(jobs, ["uid"], batch_size=200)
    named = {job.pk: job.uid for job in jobs}
    past = list(Job.history.filter(id__in=named))  # the first entry of each history tells of the same name
    for row in past:
        row.uid = named[row.id]
    Job.history.bulk_update(past, ["uid"], batch_size=200)


def _set_sheets(orders: Sequence[Order], pen: Pen) -> None:
    """A coat's wait is read off the sheet on file."""
    sheet = ProductSheet.objects.get()
    links = list(JobLink.objects.filter(before__order__in=orders, product_kind="paint"))
    for link in links:
        link.product_sheet = sheet
    if links:
        pen.update(links, ["product_sheet"], max(order.made_at for order in orders))


def settle_facts(size: str, rng: random.Random, pen: Pen, at: datetime) -> None:
    """What is known in January: a good part is here, most of the rest is told for a day, some is guessed or unknown."""
    facts = list(
        Fact.objects.exclude(kind=FactKind.DRAFT)
        .exclude(state=Fact.State.HERE)
        .prefetch_related("jobs__order__boat__owners")
        .order_by("id")
    )
    changed = []
    for fact in facts:
        order = min((job.order for job in fact.jobs.all()), key=lambda order: (order.wanted_date or date.max, order.pk))
        if rng.random() < _here(fact):
            _is_here(fact, at, pen)
        else:
            _is_expected(fact, order, rng)
        fact.set_at, fact.set_by = at, pen.by
        changed.append(fact)
    waiting = [
        fact
        for fact in changed
        if fact.state == Fact.State.EXPECTED and fact.kind in (FactKind.CLOTH, FactKind.TACKLE_SET, FactKind.PERMIT)
    ]
    for fact in rng.sample(waiting, min(UNKNOWN[size], len(waiting))):
        fact.state, fact.expected_date, fact.guess, fact.told_by = Fact.State.UNKNOWN, None, False, ""
        fact.note = "nobody can say yet"
    pen.update(changed, ["state", "expected_date", "guess", "told_by", "set_at", "set_by", "note"], at)


def _here(fact: Fact) -> float:
    """The chance that a fact is here by the middle of January."""
    match fact.kind:
        case FactKind.DATA_SHEET:
            return 0.85
        case FactKind.DEPOSIT:
            return 0.55
        case FactKind.APPROVAL:
            return 0.40
        case FactKind.CLOTH:
            return 0.15
        case FactKind.OTHER:
            return 0.35
        case _:
            return 0.0


def _is_here(fact: Fact, at: datetime, pen: Pen) -> None:
    fact.state, fact.expected_date, fact.guess = Fact.State.HERE, None, False
    fact.note = ""
    fact.set_at, fact.set_by = at, pen.by


def _is_expected(fact: Fact, order: Order, rng: random.Random) -> None:
    """By a day before the order is wanted that leaves the work its time; one in five is the yard's own guess."""
    days = {
        FactKind.PERMIT: (20, 90),
        FactKind.TACKLE_SET: (10, 45),
        FactKind.DATA_SHEET: (35, 80),
        FactKind.APPROVAL: (40, 100),
        FactKind.DEPOSIT: (40, 100),
        FactKind.CLOTH: (28, 80),
        FactKind.OTHER: (25, 80),
    }[FactKind(fact.kind)]
    told = {
        FactKind.PERMIT: "the harbormaster's office",
        FactKind.TACKLE_SET: "Pell Moorings",
        FactKind.DATA_SHEET: "the chandler",
        FactKind.CLOTH: "the cloth merchant",
        FactKind.OTHER: "the maker",
    }
    owner = order.boat.owners.all()[0].name if order.boat is not None else order.walk_in_name
    wanted = order.wanted_date or date(2027, 6, 1)
    fact.state = Fact.State.EXPECTED
    fact.expected_date = max(date(2027, 2, 1), wanted - timedelta(days=rng.randint(*days)))
    fact.guess = rng.random() < 0.2
    fact.told_by = "" if fact.guess else told.get(FactKind(fact.kind), owner)
