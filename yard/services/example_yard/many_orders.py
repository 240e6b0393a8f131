"""Many orders at once: what yard.services.order_package copies for one order, written in a few inserts for all.

An order at a time costs about a tenth of a second: nothing to a person, forty seconds to the largest example.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.db import models

from yard.models import Boat, Fact, Job, JobLink, JobWay, Order, Package, Stay
from yard.services.example_yard.pen import Pen as ExamplePen
from yard.services.link_orders import link_orders
from yard.services.order_facts import fact_from, waiting_jobs
from yard.services.order_package import (
    OrderDates,
    Terms,
    chosen_jobs,
    copy_jobs,
    links_from,
    order_from,
    stays_from,
)
from yard.services.pen import Pen


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """One order to be written. at: when it was made."""

    boat: Boat | None
    package: Package
    options: Collection[str]
    dates: OrderDates
    terms: Terms
    at: datetime


@dataclass(frozen=True)
class GatheringPen(Pen):
    """Gathers the rows of many orders instead of inserting those of one; their history tells each order's own time."""

    rows: defaultdict[type[models.Model], list[models.Model]] = field(default_factory=lambda: defaultdict(list))

    def write(self, rows: Sequence[models.Model]) -> None:
        for row in rows:
            self.sign(row)
            self.rows[type(row)].append(row)


@dataclass
class Waiting:
    """Which jobs wait for which fact. of_boat: the facts that all open orders of a boat share."""

    pairs: list[tuple[Fact, Job]] = field(default_factory=list)
    of_boat: dict[tuple[int, str], Fact] = field(default_factory=dict)


def order_many(wanted: Sequence[Wanted], by: ExamplePen) -> list[Order]:
    """Write orders in the order given, with jobs, ways, links, stays and facts, and what joins a boat's orders."""
    refs = _last_refs()
    gathered: defaultdict[type[models.Model], list[models.Model]] = defaultdict(list)
    waiting = Waiting()
    orders: list[tuple[Order, list[Job]]] = []
    for want in wanted:
        today = want.at.astimezone(by.zone).date()
        refs[f"{today:%y}"] += 1
        ref = f"{today:%y}-{refs[f'{today:%y}']:03d}"
        pen = GatheringPen(by.by, want.at, today, f"ordered: {want.package.name}"[:100], gathered)
        order = order_from(want.boat, want.package, want.options, want.dates, want.terms, pen, ref)
        pen.write([order])
        copies = copy_jobs(order, chosen_jobs(want.package, frozenset(want.options)), pen)
        pen.write(links_from(order, copies))
        pen.write(stays_from(order, copies))
        _gather_facts(order, copies, waiting, pen)
        orders.append((order, list(copies.values())))
    _insert(gathered, waiting, by)
    _join_orders(orders, by)
    return [order for order, _ in orders]


def _last_refs() -> defaultdict[str, int]:
    found: defaultdict[str, int] = defaultdict(int)
    for ref in Order.objects.values_list("ref", flat=True):
        year, _, number = ref.partition("-")
        if number.isdecimal():  # those of past seasons have letters
            found[year] = max(found[year], int(number))
    return found


def _gather_facts(order: Order, copies: Mapping[int, Job], waiting: Waiting, pen: GatheringPen) -> None:
    assert order.package is not None
    for row in order.package.facts.select_related("option").prefetch_related("jobs"):
        jobs = waiting_jobs(row, order, copies)
        if not jobs:
            continue
        key = (order.boat_id, row.kind) if row.of_boat and order.boat_id is not None else None
        fact = waiting.of_boat.get(key) if key is not None else None
        if fact is None:
            fact = fact_from(row, order, pen)
            pen.write([fact])
            if key is not None:
                waiting.of_boat[key] = fact
        waiting.pairs += [(fact, job) for job in jobs]


def _insert(gathered: Mapping[type[models.Model], list[models.Model]], waiting: Waiting, by: ExamplePen) -> None:
    """Each model after those that its rows name; of the jobs, each after the one that it is a later part of."""
    at = max(row.made_at for row in gathered[Order] if isinstance(row, Order))
    by.insert(gathered[Order], at)
    jobs = [job for job in gathered[Job] if isinstance(job, Job)]
    while jobs:
        ready = [job for job in jobs if job.split_of is None or job.split_of.pk is not None]
        by.insert(ready, at)
        jobs = [job for job in jobs if job.pk is None]
    for model in (JobWay, JobLink, Stay, Fact):
        by.insert(gathered[model], at)
    through = Fact.jobs.through
    through._default_manager.bulk_create(
        [through(fact_id=fact.pk, job_id=job.pk) for fact, job in waiting.pairs], batch_size=400
    )


def _join_orders(orders: Sequence[tuple[Order, list[Job]]], by: ExamplePen) -> None:
    """Links between the orders of one boat, as far as ordering them one after the other would have made them."""
    of_boat: defaultdict[int, list[tuple[Order, list[Job]]]] = defaultdict(list)
    for order, jobs in orders:
        if order.boat_id is not None:
            of_boat[order.boat_id].append((order, jobs))
    for found in of_boat.values():
        later = {job.pk for _, jobs in found for job in jobs}
        for order, jobs in found:
            later -= {job.pk for job in jobs}
            links = link_orders(order, jobs)
            by.insert([link for link in links if not later & {link.before.pk, link.after.pk}], order.made_at)
