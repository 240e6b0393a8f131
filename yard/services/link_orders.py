"""Links between jobs of different open orders of one boat."""

from collections import defaultdict
from collections.abc import Iterable, Sequence

from django.db.models import Q
from django.utils.translation import gettext as _

from yard.models import Job, JobLink, Order


def link_orders(order: Order, new_jobs: Sequence[Job]) -> list[JobLink]:
    """The links, not yet saved, that join an order's new jobs to the open jobs of the boat's other orders.

    First what the new jobs wait for, then what waits for them. A job never waits for a later season's, and a
    link that would close a circle is not made: the job waited for comes after it already. The order has a boat.
    """
    others = list(
        Job.objects.filter(
            order__boat=order.boat,
            order__state=Order.State.OPEN,
            state__in=[Job.State.OPEN, Job.State.STARTED],
        )
        .exclude(order=order)
        .select_related("kind", "order__season")
        .order_by("order_id", "sequence", "id")
    )
    followers = _followers([*others, *new_jobs])
    links: list[JobLink] = []
    for before, after in [*_waits(others, new_jobs), *_waits(new_jobs, others)]:
        if after.state == Job.State.OPEN and not _reaches(after.pk, before.pk, followers):
            followers[before.pk].append(after.pk)
            links.append(
                JobLink(
                    before=before,
                    after=after,
                    reason=_("follows “{before}” of order {ref}").format(before=before.name, ref=before.order.ref),
                    origin=JobLink.Origin.OTHER_ORDER,
                )
            )
    return links


def _waits(befores: Sequence[Job], afters: Sequence[Job]) -> Iterable[tuple[Job, Job]]:
    for after in afters:
        for before in befores:
            if before.kind.key in after.waits_for_open and not _in_later_season(before, after):
                yield before, after


def _in_later_season(job: Job, than: Job) -> bool:
    mine, other = job.order.season, than.order.season
    return mine is not None and other is not None and mine.starts_on > other.starts_on


def _followers(jobs: Sequence[Job]) -> defaultdict[int, list[int]]:
    ids = [job.pk for job in jobs]
    followers: defaultdict[int, list[int]] = defaultdict(list)
    for before, after in JobLink.objects.filter(Q(before__in=ids) | Q(after__in=ids)).values_list("before", "after"):
        followers[before].append(after)
    return followers


def _reaches(start: int, goal: int, followers: dict[int, list[int]]) -> bool:
    """Whether the goal comes after the start, by any way."""
    seen: set[int] = set()
    open_ends = [start]
    while open_ends:
        job = open_ends.pop()
        if job == goal:
            return True
        if job not in seen:
            seen.add(job)
            open_ends.extend(followers.get(job, ()))
    return False
