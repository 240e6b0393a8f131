"""An order's own jobs as a network, with the critical path of what is left to do."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from django.utils.translation import gettext as _

from yard.models import Job, JobLink, PackageJob, PackageLink
from yard.pictures.package_network import PackageNetworkPicture, lay_out
from yard.pictures.package_network_input import NetworkJob, NetworkLink, PackageNetworkInput
from yard.pictures.shapes import TradeGroup
from yard.queries.orders import OrderWhole
from yard.web.orders.words import between_words, hours_words


def network_of_order(whole: OrderWhole) -> PackageNetworkPicture:
    """Jobs that stand, by the usual way of each; what is done takes no time any more. No query."""
    jobs = [job for job in whole.jobs if job.state != Job.State.CANCELLED]
    done = {job.pk for job in jobs if job.state == Job.State.DONE}
    minutes = {job.pk: 0 if job.pk in done else _usual_min(job) for job in jobs}
    return lay_out(network_input(jobs, whole.links, minutes, done=done))


def network_input(
    jobs: Iterable[Job | PackageJob],
    links: Iterable[JobLink | PackageLink],
    minutes: Mapping[int, int],
    *,
    done: Collection[int] = (),
    optional: Collection[int] = (),
) -> PackageNetworkInput:
    """Jobs and the links between them, as the picture takes them. minutes, done, optional: by id of the job."""
    known = {job.pk: job for job in jobs}
    return PackageNetworkInput(
        jobs=tuple(
            NetworkJob(
                key=job.key,
                name=job.name,
                group=TradeGroup(job.kind.trade),
                minutes=minutes[pk],
                hours=_("done") if pk in done else hours_words(minutes[pk]),
                option=pk in optional,
            )
            for pk, job in known.items()
        ),
        links=tuple(
            NetworkLink(
                known[link.before_id].key,
                known[link.after_id].key,
                link.min_wait_min,
                between_words(link.min_wait_min, link.max_wait_min),
            )
            for link in links
            if link.before_id in known and link.after_id in known
        ),
    )


def _usual_min(job: Job) -> int:
    ways = list(job.ways.all())
    return ways[0].duration_min if ways else 0
