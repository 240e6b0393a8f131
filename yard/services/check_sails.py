"""Sails at the yard's door: a plan held against what is known of the sails themselves.

The planner is given a latest start and stretches of line; here nothing of that is used. What lies damp, and since when,
is read off the words that were said of each sail; metres on a line are added up from the sails that hang there.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import sqrt

from django.utils.translation import gettext as _

from yard.models import Item, ItemWhereabouts, Job, JobThing, Place
from yard.planning import plan as planner_plan
from yard.services.read_problem import ReadProblem
from yard.speech import number

HOUR = timedelta(hours=1)
A_DAY = 24 * HOUR
WAITS = ("release", "waits")
MINUTE = timedelta(minutes=1)
"""The planner counts whole minutes: so much may a start be late."""
Span = tuple[datetime, datetime]


@dataclass(frozen=True)
class SailFault:
    """A sail bagged damp for too long ("damp"), or more sail than there is line ("line")."""

    rule: str
    job: int
    message: str


@dataclass(frozen=True)
class _Drying:
    """An open drying job of the plan, with the sails that it is done to and the lines that it takes."""

    job: Job
    span: Span
    sails: tuple[Item, ...]
    lines: tuple[Place, ...]
    stands: bool


def sail_faults(read: ReadProblem, plan: planner_plan.Plan) -> list[SailFault]:
    """Every breach of "on a line within 24 h" and of the lines' length. A job under way, pinned or waived is a fact."""
    timeline = read.axis.timeline
    times = {
        read.jobs[row.job]: (timeline.starts_at(row.starts_at), timeline.ends_at(row.ends_at))
        for row in plan.placements
    }
    at = {read.jobs[row.job]: {read.places[place] for place, _unit in row.places} for row in plan.placements}
    jobs = Job.objects.filter(pk__in=times, kind__key__in=("sail_dry", "unbend")).select_related("kind", "order__boat")
    rows = list(jobs.prefetch_related("ways").order_by("id"))
    if not any(job.kind.key == "sail_dry" for job in rows):
        return []
    sails, lines = _sails(rows), {row.pk: row for row in Place.objects.filter(line_m__isnull=False)}
    stand = {read.jobs[pin.job] for pin in read.problem.pins}
    stand |= {read.jobs[row.job] for row in read.problem.waivers if row.rule in WAITS}
    on = {pk: tuple(lines[place] for place in places if place in lines) for pk, places in at.items()}
    drying = [
        _Drying(job, times[job.pk], sails[job.pk], on[job.pk], job.pk in stand)
        for job in rows
        if job.kind.key == "sail_dry"
    ]
    longest = max((line.line_m or 0.0 for line in lines.values()), default=0.0)
    begins = max(read.now, timeline.starts_at(min(read.problem.now, timeline.size - 1)))
    return [*_too_late(drying, read.now, begins), *_too_late_after(rows, drying, times), *_too_long(drying, longest)]


def _sails(rows: Sequence[Job]) -> dict[int, tuple[Item, ...]]:
    """Named ones; where a job names none, all sails of its boat."""
    found: dict[int, tuple[Item, ...]] = {}
    named = defaultdict(list)
    for thing in JobThing.objects.filter(job__in=rows).select_related("item__boat"):
        named[thing.job_id].append(thing.item)
    fleet = defaultdict(list)
    boats = [job.order.boat_id for job in rows if job.order.boat_id]
    for sail in Item.objects.filter(boat__in=boats, kind="sail", archived=False).select_related("boat"):
        fleet[sail.boat_id].append(sail)
    for job in rows:
        mine = named[job.pk] if job.pk in named else fleet[job.order.boat_id] if job.order.boat_id else []
        found[job.pk] = tuple(sail for sail in mine if sail.kind == "sail")
    return found


def _too_late(drying: Sequence[_Drying], now: datetime, begins: datetime) -> Iterator[SailFault]:
    """What lies damp already and has a job for that: whatever hangs it first begins before its day is over.

    begins: when anything may; a day that is over by then cannot be kept.
    """
    first: dict[int, _Drying] = {}
    for each in sorted(drying, key=lambda one: one.span):
        for sail in each.sails:
            first.setdefault(sail.pk, each)
    for_damp = {sail.pk for each in drying if each.job.key.startswith("dry_damp") for sail in each.sails}
    first = {pk: each for pk, each in first.items() if pk in for_damp}
    rows = ItemWhereabouts.objects.filter(item__in=first, since__lte=now).select_related("place", "item")
    told = defaultdict(list)
    for row in rows.order_by("-since", "-id"):
        told[row.item_id].append(row)
    for pk, mine in told.items():
        each, since = first[pk], None
        for row in mine:
            if row.condition != "damp" or row.place is None or row.place.kind == "drying_line":
                break
            since = row.since
        if since is None or each.stands or since + A_DAY < begins:
            continue
        if each.span[0] > since + A_DAY + MINUTE:
            hours = (each.span[0] - since) / HOUR
            words = _("{sail} would lie damp in the bag for {hours} h, 24 at most").format(
                sail=mine[0].item, hours=number(hours, 0)
            )
            yield SailFault("damp", each.job.pk, words)


def _too_late_after(rows: Sequence[Job], drying: Sequence[_Drying], times: Mapping[int, Span]) -> Iterator[SailFault]:
    """What is to come off damp: her order has a job for it, and that begins within a day of the unbending."""
    for off in (job for job in rows if job.kind.key == "unbend"):
        for each in drying:
            if each.job.order_id != off.order_id or not each.job.key.startswith("dry_damp") or each.stands:
                continue
            late = each.span[0] - times[off.pk][1]
            if late > A_DAY + MINUTE:
                words = _("{job}: begins {hours} h after the sails come off, 24 at most").format(
                    job=each.job.name, hours=number(late / HOUR, 0)
                )
                yield SailFault("damp", each.job.pk, words)


def _too_long(drying: Sequence[_Drying], longest: float) -> Iterator[SailFault]:
    """At each moment at which something is hung, all that hangs there fits on the line.

    longest: of the yard's lines, metres; a sail that is longer hangs doubled on it.
    """
    hung: dict[tuple[int, float | None, str], list[_Drying]] = defaultdict(list)
    for each in drying:
        for line in each.lines:
            hung[line.pk, line.line_m, line.name].append(each)
    for (_pk, length_m, name), there in hung.items():
        for each in there:
            if each.stands:
                continue
            beside = [one for one in there if one.span[0] <= each.span[0] < one.span[1]]
            taken = sum(min(sum(map(_metres, one.sails)), longest) for one in beside)
            if taken > (length_m or 0.0) + 0.01:
                words = _("{job}: {sail_m} m of sail on {line_m} m of {line}").format(
                    job=each.job.name, sail_m=number(taken, 1), line_m=f"{length_m:g}", line=name
                )
                yield SailFault("line", each.job.pk, words)


def _metres(sail: Item) -> float:
    """Of line; a sail that nobody measured is a triangle of 2.5 to 1, else as long as her hull and a tenth."""
    if said := sail.line_m or sail.luff_m:
        return said
    if sail.area_m2:
        return sqrt(5 * sail.area_m2)
    return 1.1 * sail.boat.length_m if sail.boat else 9.0
