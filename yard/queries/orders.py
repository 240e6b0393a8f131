"""Reads of orders and their jobs."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import F, Max, OuterRef, Prefetch, Q, QuerySet, Subquery, prefetch_related_objects
from django.db.models.functions import Coalesce

from yard.models import Boat, BoatOwner, Job, JobLink, Order, Plan, PlannedJob
from yard.queries.finished import LEFT


@dataclass(frozen=True)
class BoatNetwork:
    """All jobs of a boat's open orders, in the order of orders and packages, and the links between them."""

    jobs: tuple[Job, ...]
    links: tuple[JobLink, ...]


def orders_with_jobs(boat: Boat) -> list[Order]:
    """All orders of a boat, the oldest first, with their jobs and the kinds of these at hand. Two queries."""
    jobs = Prefetch("jobs", Job.objects.select_related("kind"))
    return list(boat.orders.prefetch_related(jobs).order_by("made_at", "id"))


def network_of(orders: Iterable[Order]) -> BoatNetwork:
    """The one network of the open ones of `orders_with_jobs`, cancelled jobs left out. Two queries.

    Each job has its kind, order and facts at hand; each link its product sheet.
    """
    open_ones = [order for order in orders if order.state == Order.State.OPEN]
    jobs = [job for order in open_ones for job in order.jobs.all() if job.state != Job.State.CANCELLED]
    prefetch_related_objects(jobs, "facts")
    ids = [job.pk for job in jobs]
    links = JobLink.objects.filter(before__in=ids, after__in=ids).select_related("product_sheet").order_by("id")
    return BoatNetwork(tuple(jobs), tuple(links))


@dataclass(frozen=True)
class OrderWhole:
    """One order with its jobs in the package's order, the links that touch them, and what was changed.

    planned: the posted plan's rows by job id.
    """

    order: Order
    jobs: tuple[Job, ...]
    links: tuple[JobLink, ...]
    planned: Mapping[int, PlannedJob]


def next_bag_tag() -> str:
    """The tag after the one that was given out last, as R42 after R41; "" where that had no number. One query."""
    last = Order.objects.exclude(bag_tag="").order_by("-made_at", "-id").values_list("bag_tag", flat=True).first()
    found = re.fullmatch(r"(.*?)(\d{1,9})", last or "", re.ASCII)
    return f"{found[1]}{int(found[2]) + 1:0{len(found[2])}d}"[:20] if found else ""


def bag_tag_meant(typed: str) -> str:
    """The tag whose last figures were typed, where tags have letters before them: 55 is R55 while R41 is the next in
    the box, and 7 is R47. Anything else is the tag as typed. At most one query.
    """
    if not re.fullmatch(r"\d{1,9}", typed, re.ASCII):
        return typed
    begins = next_bag_tag()[: -len(typed)]
    return f"{begins}{typed}" if begins and not begins.isdigit() else typed


def open_orders() -> QuerySet[Order]:
    """Open orders, the earliest date to keep first, with boat and package, owners and open facts. Five queries.

    Each has `date_to_keep` (promised, else latest, else wanted), `ends_at` (in the posted plan; where all its work is
    done, none), its jobs with their facts, and the boat's ownerships.
    """
    # From the order's jobs to what is planned of them: asked for planned jobs of the order, SQLite walks the whole plan
    # for each.
    posted = Q(planned_jobs__plan=Subquery(Plan.objects.filter(state=Plan.State.POSTED).order_by().values("pk")[:1]))
    left = Job.objects.filter(order=OuterRef("pk"), state__in=LEFT).order_by().values("order")
    ends = left.annotate(last=Max("planned_jobs__ends_at", filter=posted)).values("last")
    jobs = Prefetch("jobs", Job.objects.exclude(state=Job.State.CANCELLED).prefetch_related("facts").order_by("id"))
    owners = Prefetch("boat__ownerships", BoatOwner.objects.filter(ends_on=None).select_related("owner"))
    return (
        Order.objects.filter(state=Order.State.OPEN)
        .select_related("boat", "package")
        .prefetch_related(jobs, owners)
        .annotate(date_to_keep=Coalesce("promised_date", "latest_date", "wanted_date"), ends_at=Subquery(ends))
        .order_by(F("date_to_keep").asc(nulls_last=True), "id")
    )


def order_whole(order: Order) -> OrderWhole:
    """One order with all that hangs on it. Six queries, however many jobs."""
    jobs = tuple(order.jobs.select_related("kind").prefetch_related("ways", "facts").order_by("sequence", "id"))
    ids = [job.pk for job in jobs]
    links = JobLink.objects.filter(Q(before__in=ids) | Q(after__in=ids)).select_related(
        "before__order", "after__order", "product_sheet"
    )
    planned = PlannedJob.objects.filter(plan__state=Plan.State.POSTED, job__in=ids).prefetch_related("planned_people")
    return OrderWhole(order, jobs, tuple(links.order_by("id")), {row.job_id: row for row in planned})
