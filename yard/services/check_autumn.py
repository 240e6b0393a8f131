"""Autumn at the yard's door: a plan held against the rows, for what a haul-out must keep.

The planner is given limits of starts, waits and stays; here nothing of that is used. Winterising is over before the end
of its last day, where the yard's rules let it bind; the bottom is washed as soon after the haul as the order says; who
stands farther in by the accepted store plan is hauled first. The days are the yard's, by its own clock.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import AutumnRules, Job, JobLink, StowSpot, Whereabouts
from yard.planning import plan as planner_plan
from yard.services.read_problem import ReadProblem

MINUTE = timedelta(minutes=1)
"""The planner counts whole minutes: so much may a wait be long."""
Times = Mapping[int, tuple[datetime, datetime]]


@dataclass(frozen=True)
class AutumnFault:
    """Winterised after its last day ("freeze"), washed too late ("wash_at_once"), hauled out of turn ("store_row")."""

    rule: str
    job: int
    message: str


def autumn_faults(read: ReadProblem, plan: planner_plan.Plan) -> list[AutumnFault]:
    """Every placed job that breaks one of the three. What a planner pinned or waived is that person's word."""
    timeline = read.axis.timeline
    times = {
        read.jobs[row.job]: (timeline.starts_at(row.starts_at), timeline.ends_at(row.ends_at))
        for row in plan.placements
    }
    pinned = {read.jobs[pin.job] for pin in read.problem.pins}
    excused = {(read.jobs[waiver.job], waiver.rule) for waiver in read.problem.waivers}
    return [
        *_frozen(read, times, pinned | {job for job, rule in excused if rule == "release"}),
        *_dried_on(times, pinned | {job for job, rule in excused if rule == "waits"}, read.now),
        *_out_of_turn(times, pinned | {job for job, rule in excused if rule == "waits"}),
    ]


def _frozen(read: ReadProblem, times: Times, excused: set[int]) -> Iterator[AutumnFault]:
    rules = AutumnRules.objects.filter(pk=1).first()
    if rules is not None and not rules.freeze_binds:
        return
    zone: ZoneInfo = read.axis.zone
    jobs = Job.objects.filter(pk__in=times, kind__key="winterise", finish_by_date__isnull=False, state=Job.State.OPEN)
    for job in jobs.select_related("order__boat").order_by("pk"):
        assert job.finish_by_date is not None  # the rows were chosen so
        ends = datetime.combine(job.finish_by_date + timedelta(days=1), time(), zone)
        if job.pk not in excused and times[job.pk][1] > ends > read.now:
            name = job.order.boat.name if job.order.boat is not None else job.order.walk_in_name
            yield AutumnFault(
                "freeze",
                job.pk,
                _("{name} is winterised after {day}, her last day before it freezes").format(
                    name=name, day=said(job.finish_by_date, "j F")
                ),
            )


def _dried_on(times: Times, excused: set[int], now: datetime) -> Iterator[AutumnFault]:
    links = JobLink.objects.filter(before__kind__key="haul", after__kind__key="wash_bottom", max_wait_min__isnull=False)
    rows = links.filter(after__in=times, after__state=Job.State.OPEN).select_related("before", "after__order__boat")
    for link in rows.order_by("pk"):
        hauled = times[link.before_id][1] if link.before_id in times else link.before.actual_ends_at
        if hauled is None or link.after_id in excused or link.max_wait_min is None:
            continue
        most = timedelta(minutes=link.max_wait_min)
        waits = times[link.after_id][0] - hauled
        if waits > most + MINUTE and hauled + most >= now:
            name = link.after.order.boat.name if link.after.order.boat is not None else link.after.order.walk_in_name
            minutes = round(waits / MINUTE)
            yield AutumnFault(
                "wash_at_once",
                link.after_id,
                _("{name} waits {minutes} min for her wash, at most {most}").format(
                    name=name, minutes=minutes, most=link.max_wait_min
                ),
            )


def _out_of_turn(times: Times, excused: set[int]) -> Iterator[AutumnFault]:
    """Along each row of the accepted plan, hauls that are still to come follow one another."""
    hauls = {
        boat: job
        for job, boat in Job.objects.filter(pk__in=times, kind__key="haul", state=Job.State.OPEN)
        .order_by("-pk")
        .values_list("pk", "order__boat")
    }
    in_store = _in_store()
    rows: dict[int, tuple[int, StowSpot]] = {}
    spots = StowSpot.objects.filter(plan__state="accepted", plan__kind="boats").select_related("boat", "place")
    for spot in spots.order_by("place_id", "position"):
        job = hauls.get(spot.boat_id)
        if job is None or spot.boat_id in in_store:
            continue
        inner = rows.get(spot.place_id)
        if inner is not None and job not in excused and times[job][0] < times[inner[0]][1]:
            yield AutumnFault(
                "store_row",
                job,
                _("{boat} is hauled before {inner}, who stands behind her").format(
                    boat=spot.boat.name, inner=inner[1].boat.name
                ),
            )
        rows[spot.place_id] = job, spot


def _in_store() -> set[int]:
    latest: dict[int, str] = {}
    for boat, kind in Whereabouts.objects.order_by("since", "pk").values_list("boat", "kind"):
        latest[boat] = kind
    return {boat for boat, kind in latest.items() if kind == Whereabouts.Kind.STORE_ROW}
