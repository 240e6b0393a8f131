"""Reads of orders and their jobs."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import F, Max, OuterRef, Prefetch, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from yard.models import Boat, BoatOwner, Job, JobLink, Order, Plan, PlannedJob
from yard.queries.finished import LEFT


@dataclass(frozen=True)
class BoatNetwork:
    """All jobs of a boat's open orders, in the order of orders and packages, and the links between them."""

    jobs: tuple[Job, ...]
    links: tuple[JobLink, ...]


def network_of(boat: Boat) -> BoatNetwork:
    """The one network of a boat's open orders, cancelled jobs left out. Four queries.

    Each job has its kind and order, its ways and its facts at hand; each link its product sheet.
    """
    jobs = tuple(
        Job.objects.filter(order__boat=boat, order__state=Order.State.OPEN)
        .exclude(state=Job.State.CANCELLED)
        .select_related("kind", "order")
        .prefetch_related("ways", "facts")
        .order_by("order__made_at", "order_id", "sequence", "id")
    )
    ids = [job.pk for job in jobs]
    links = JobLink.objects.filter(before__in=ids, after__in=ids).select_related("product_sheet").order_by("id")
    return BoatNetwork(jobs, tuple(links))


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
