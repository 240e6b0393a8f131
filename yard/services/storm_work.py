"""Hauling before a storm, ordered as work: from then on people, ramp, trailer and tide are the planner's business.

The jobs are copied from the yard's own package that hauls; a boat on a mooring is collected first. They belong to the
storm: when it is over or taken back, what was not hauled is withdrawn.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.contrib.auth.models import User
from django.utils import timezone
from django.utils.translation import gettext as _

from yard.models import (
    Boat,
    Event,
    Job,
    JobLink,
    JobWay,
    Order,
    PackageJob,
    PackageWay,
    ShopHours,
    Storm,
    StormLine,
    Whereabouts,
)
from yard.services.change_order import Sender, withdraw
from yard.services.facts_revision import bump_facts
from yard.services.happenings import Done
from yard.services.order_package import OrderRefused, job_needs, next_ref
from yard.services.pen import Pen
from yard.services.record_event import record_event, take_back

OPEN = (Job.State.OPEN, Job.State.STARTED, Job.State.FAILED)
COLLECT, HAUL = "collect", "haul"
GOES_FIRST = 3  # before all


@dataclass(frozen=True, slots=True)
class Hauling:
    """The yard's own jobs that haul a boat. collect: None where the package names none."""

    haul: PackageJob
    collect: PackageJob | None


def order_hauls(storm: Storm, lines: Iterable[StormLine], pen: Pen) -> None:
    """An order for each boat that has a tide; none for her who is to be hauled by another order already.

    Where no package of the yard hauls, nothing is ordered, and the page says so.
    """
    how = yards_hauling()
    if how is None:
        return
    given = [line for line in lines if line.todo == Boat.InAStorm.HAUL and line.tide_at is not None]
    moored = _moored([line.boat_id for line in given])
    for line in given:
        if line.order_id is None and not _to_be_hauled(line.boat):
            line.order = _order(storm, line.boat, how, line.boat_id in moored, pen)
            line.save(update_fields=["order"])


def yards_hauling() -> Hauling | None:
    """The newest package of the yard that hauls. Two queries."""
    rows = PackageJob.objects.filter(package__archived=False).select_related("kind").prefetch_related("ways")
    haul = rows.filter(kind__key=HAUL).order_by("-package_id", "sequence").first()
    if haul is None:
        return None
    return Hauling(haul, rows.filter(package=haul.package_id, kind__key=COLLECT).first())


def last_day(storm: Storm) -> date:
    """The last day on which the yard opens before it comes; the hours that it shuts do the rest. One query."""
    comes = timezone.localtime(storm.comes_at)
    opens = (
        ShopHours.objects.filter(weekday=comes.weekday()).order_by("starts").values_list("starts", flat=True).first()
    )
    open_before = opens is not None and opens < comes.time()
    return comes.date() if open_before else comes.date() - timedelta(days=1)


def withdraw_hauls(storm: Storm, reason: str, *, by: User | None, now: datetime) -> None:
    """Take out what was not hauled; what is under way is left to be reported."""
    orders = Order.objects.filter(storm_lines__storm=storm, state=Order.State.OPEN)
    for order in orders.filter(jobs__state__in=OPEN).distinct():
        try:
            withdraw(order, reason=reason, sender=Sender(by, now, order.version))
        except OrderRefused:
            continue


def haul_done(line: StormLine, *, by: User | None, at: datetime, now: datetime) -> None:
    """The line was ticked: the work that was ordered for it is done too."""
    for job in _jobs(line, OPEN):
        record_event(Done(job, at), by=by, now=now)


def haul_not_done(line: StormLine, *, by: User | None, now: datetime) -> None:
    """The tick was a mistake: the work stands open again."""
    done = Event.objects.filter(kind=Event.Kind.DONE, withdrawn_at=None, job__order=line.order_id or 0)
    for event in done.order_by("-recorded_at", "-id"):
        take_back(event, by=by, now=now)


def _jobs(line: StormLine, states: Sequence[str]) -> list[Job]:
    if line.order_id is None:
        return []
    rows = Job.objects.filter(order=line.order_id, state__in=states).select_related("kind", "order__boat")
    return list(rows.prefetch_related("ways").order_by("sequence"))


def _moored(boats: Sequence[int]) -> set[int]:
    """Those of them that lie on a mooring now. One query."""
    kinds: dict[int, str] = {}
    for row in Whereabouts.objects.filter(boat__in=boats).order_by("since", "id"):
        kinds[row.boat_id] = row.kind
    return {boat for boat, kind in kinds.items() if kind == Whereabouts.Kind.MOORING}


def _to_be_hauled(boat: Boat) -> bool:
    """Whether another open order hauls her."""
    rows = Job.objects.filter(order__boat=boat, order__state=Order.State.OPEN, kind__key=HAUL, state__in=OPEN)
    return rows.exists()


def _order(storm: Storm, boat: Boat, how: Hauling, moored: bool, pen: Pen) -> Order:
    bump_facts()
    day = last_day(storm)
    order = Order(
        ref=next_ref(pen.today),
        boat=boat,
        name=_("Haul before {storm}").format(storm=storm.name)[:80],
        promised_date=day,
        goes_first=GOES_FIRST,
        made_by=pen.by,
        made_at=pen.now,
        notes=_("By her owner's standing instruction for a storm."),
    )
    order.full_clean()
    pen.write([order])
    rows = [how.collect, how.haul] if moored and how.collect is not None else [how.haul]
    jobs = [_job(storm, order, row, number, day) for number, row in enumerate(rows, start=1)]
    pen.write(jobs)
    pen.write([_way(job, way) for job, row in zip(jobs, rows, strict=True) for way in row.ways.all()])
    if len(jobs) > 1:
        pen.write([JobLink(before=jobs[0], after=jobs[1], reason=_("she is brought in before she is hauled"))])
    return order


def _job(storm: Storm, order: Order, row: PackageJob, number: int, day: date) -> Job:
    needs = job_needs(row, row.kind, order, day) | {"finish_by_date": day, "waits_for_open": [], "on_fixed_date": False}
    if storm.night_tides:
        needs["needs_light"] = False
    return Job(order=order, key=row.key, sequence=number, **needs)


def _way(job: Job, way: PackageWay) -> JobWay:
    fields = ("sequence", "duration_min", "crew", "place_kinds", "boat_at", "parts")
    return JobWay(job=job, **{name: getattr(way, name) for name in fields})
