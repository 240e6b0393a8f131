"""The links between open jobs: what is done already becomes a date, what is cancelled is passed through."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from yard.models import Job, JobLink
from yard.planning import problem as planner

GONE = {Job.State.CANCELLED}
SETTLED = {Job.State.DONE}


@dataclass(frozen=True)
class OpenLink:
    """A wait between two jobs that are still to be planned; minutes of clock time."""

    before: int
    after: int
    min_wait: int
    max_wait: int | None
    reason: str


@dataclass
class Network:
    """links: between open jobs, by id. not_before, not_after: clock minutes that finished jobs lay on open ones.

    passed: open jobs whose longest wait is over already, with the reason.
    """

    links: list[OpenLink] = field(default_factory=list)
    not_before: dict[int, int] = field(default_factory=dict)
    not_after: dict[int, int] = field(default_factory=dict)
    passed: dict[int, str] = field(default_factory=dict)


def open_network(
    jobs: dict[int, Job], links: Iterable[JobLink], *, ended_minute: dict[int, int], now_minute: int
) -> Network:
    """The network of the jobs that are still to be planned.

    jobs: every job that a link may name, by id. ended_minute: clock minute at which each finished job ended.
    """
    network = Network()
    for link in _bridged(jobs, list(links)):
        before, after = jobs.get(link.before), jobs.get(link.after)
        if before is None or after is None or after.state in SETTLED:
            continue
        if before.state in SETTLED:
            _date_from(network, link, ended_minute[link.before], now_minute)
        else:
            network.links.append(link)
    return network


def planner_links(links: Iterable[OpenLink], index: Mapping[int, int]) -> list[planner.Link]:
    """Those whose two jobs are planned. index: the planner's numbers, by id."""
    return [
        planner.Link(
            before=index[link.before],
            after=index[link.after],
            min_wait=link.min_wait,
            max_wait=link.max_wait,
            reason=link.reason,
        )
        for link in links
        if link.before in index and link.after in index
    ]


def _date_from(network: Network, link: OpenLink, ended: int, now_minute: int) -> None:
    earliest = ended + link.min_wait
    network.not_before[link.after] = max(network.not_before.get(link.after, earliest), earliest)
    if link.max_wait is None:
        return
    latest = ended + link.max_wait
    if latest < now_minute:
        # It cannot be kept any more: planning goes on, and the page says so.
        network.passed[link.after] = link.reason or _("its longest wait")
    else:
        network.not_after[link.after] = min(network.not_after.get(link.after, latest), latest)


def _bridged(jobs: dict[int, Job], rows: list[JobLink]) -> list[OpenLink]:
    """Links with cancelled jobs taken out: what came before such a job is joined to what came after it."""
    links = [OpenLink(row.before_id, row.after_id, row.min_wait_min, row.max_wait_min, row.reason) for row in rows]
    for gone in [job.pk for job in jobs.values() if job.state in GONE]:
        into = [link for link in links if link.after == gone]
        out = [link for link in links if link.before == gone]
        links = [link for link in links if gone not in (link.before, link.after)]
        known = {(link.before, link.after) for link in links}
        links += [
            OpenLink(one.before, two.after, max(one.min_wait, two.min_wait), None, two.reason)
            for one in into
            for two in out
            if (one.before, two.after) not in known
        ]
    return links
