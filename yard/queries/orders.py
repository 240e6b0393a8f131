"""Reads of orders and their jobs."""

from dataclasses import dataclass

from yard.models import Boat, Job, JobLink, Order


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
