"""Where she lies while a job is done: at a berth or on her mooring decides which side of the delivery it stands.

The planner knows no conditions between ways and links, so one of both is chosen here, before planning:
work that can be done at the berth is done there, before the delivery, unless what it waits on comes too late.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from django.utils.translation import gettext as _

from yard.models import Fact, Job, Whereabouts
from yard.services.read_problem.network import Network, OpenLink

LATEST_FOR_BERTH = timedelta(days=7)
"""What a berth job waits on must be here a week before the boat is due; berths are few (common practice)."""


@dataclass
class Lying:
    """chosen: by job id, where she lies while it is done ("" anywhere); links: the order that follows from it."""

    chosen: dict[int, str] = field(default_factory=dict)
    links: list[OpenLink] = field(default_factory=list)


def choose_lying(jobs: Iterable[Job], network: Network, where: Mapping[int, Whereabouts]) -> Lying:
    """Choose for every open job whose ways name where she lies. jobs: all jobs of open orders."""
    found = Lying()
    boats: dict[int, list[Job]] = {}
    for job in jobs:
        if job.order.boat_id is not None and job.state != Job.State.CANCELLED:
            boats.setdefault(job.order.boat_id, []).append(job)
    before: dict[int, set[int]] = {}
    for link in network.links:
        before.setdefault(link.after, set()).add(link.before)
    for boat, rows in boats.items():
        _choose_for(found, rows, before, where.get(boat))
    return found


def _choose_for(found: Lying, rows: list[Job], before: dict[int, set[int]], here: Whereabouts | None) -> None:
    launch = next((row for row in rows if row.water_need == "ramp" and row.kind.key == "launch"), None)
    deliver = next((row for row in rows if row.water_need in ("route", "mooring") and row.kind.key == "deliver"), None)
    by_id = {row.pk: row for row in rows}
    for row in rows:
        options = {way.boat_at for way in row.ways.all()}
        if row.state not in (Job.State.OPEN, Job.State.FAILED) or options <= {""}:
            continue
        if launch is None and deliver is None:
            found.chosen[row.pk] = _as_she_lies(options, here)
            continue
        if row in (launch, deliver):
            continue
        _choose(found, row, options, launch, deliver, before, by_id)


def _choose(
    found: Lying,
    row: Job,
    options: set[str],
    launch: Job | None,
    deliver: Job | None,
    before: dict[int, set[int]],
    by_id: dict[int, Job],
) -> None:
    launched = launch is None or launch.state == Job.State.DONE
    delivered = deliver is not None and deliver.state == Job.State.DONE
    above = _all_before(row.pk, before)
    if "ashore" in options and not launched and launch is not None and launch.pk not in above:
        found.chosen[row.pk] = "ashore"
        found.links.append(OpenLink(row.pk, launch.pk, 0, None, _("done ashore")))
    elif (
        "berth" in options
        and not delivered
        and not ("mooring" in options and _too_late(row, deliver, above, by_id))
        and (deliver is None or deliver.pk not in above)
    ):
        found.chosen[row.pk] = "berth"
        if not launched and launch is not None:
            found.links.append(OpenLink(launch.pk, row.pk, 0, None, _("done afloat")))
        if deliver is not None:
            found.links.append(OpenLink(row.pk, deliver.pk, 0, None, _("done at the berth")))
    elif "mooring" in options:
        found.chosen[row.pk] = "mooring"
        if deliver is not None and not delivered:
            found.links.append(OpenLink(deliver.pk, row.pk, 0, None, _("done on her mooring")))


def _all_before(job: int, before: dict[int, set[int]]) -> set[int]:
    found: set[int] = set()
    open_ends = [job]
    while open_ends:
        for earlier in before.get(open_ends.pop(), ()):
            if earlier not in found:
                found.add(earlier)
                open_ends.append(earlier)
    return found


def _too_late(row: Job, deliver: Job | None, above: set[int], by_id: dict[int, Job]) -> bool:
    """Whether something that this job waits on is expected too late for the berth."""
    order = (deliver or row).order
    due = order.promised_date or order.latest_date or order.wanted_date
    if due is None:
        return False
    rows = [row, *(by_id[pk] for pk in above if pk in by_id)]
    dates: list[date] = [
        fact.expected_date
        for each in rows
        for fact in each.facts.all()
        if fact.state == Fact.State.EXPECTED and fact.expected_date is not None
    ]
    unknown = any(fact.state == Fact.State.UNKNOWN for each in rows for fact in each.facts.all())
    return unknown or any(day > due - LATEST_FOR_BERTH for day in dates)


def _as_she_lies(options: set[str], here: Whereabouts | None) -> str:
    """The way that fits where she is now; where she is unknown, any."""
    kinds = {"mooring": "mooring", "berth": "berth", "away": ""}
    wanted = "ashore" if here is None else kinds.get(here.kind, "ashore")
    return wanted if wanted in options else ""
