"""An order's own jobs as a network, with the critical path of what is left to do."""

from __future__ import annotations

from yard.models import Job
from yard.pictures.package_network import PackageNetworkPicture, lay_out
from yard.pictures.package_network_input import NetworkJob, NetworkLink, PackageNetworkInput
from yard.pictures.shapes import TradeGroup
from yard.queries.orders import OrderWhole
from yard.web.orders.words import between_words, hours_words


def network_of_order(whole: OrderWhole) -> PackageNetworkPicture:
    """Jobs that stand, by the usual way of each; what is done takes no time any more. No query."""
    jobs = [job for job in whole.jobs if job.state != Job.State.CANCELLED]
    keys = {job.pk: job.key for job in jobs}
    left = {job.pk: 0 if job.state == Job.State.DONE else _usual_min(job) for job in jobs}
    return lay_out(
        PackageNetworkInput(
            jobs=tuple(
                NetworkJob(
                    key=job.key,
                    name=job.name,
                    group=TradeGroup(job.kind.trade),
                    minutes=left[job.pk],
                    hours="done" if job.state == Job.State.DONE else hours_words(left[job.pk]),
                )
                for job in jobs
            ),
            links=tuple(
                NetworkLink(
                    keys[link.before_id],
                    keys[link.after_id],
                    link.min_wait_min,
                    between_words(link.min_wait_min, link.max_wait_min),
                )
                for link in whole.links
                if link.before_id in keys and link.after_id in keys
            ),
        )
    )


def _usual_min(job: Job) -> int:
    ways = list(job.ways.all())
    return ways[0].duration_min if ways else 0
