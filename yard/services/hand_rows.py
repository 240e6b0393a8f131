"""Changes by hand as rows: what differs between two plans, in row ids and clock times, and read back on other facts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User

from yard.models import HandChange, Pin, Waiver
from yard.planning.by_hand import unpinned
from yard.planning.plan import Placement, StayAt
from yard.planning.plan import Plan as PlannerPlan
from yard.planning.problem import Waiver as PlannerWaiver
from yard.services.pen import sign
from yard.services.read_problem import ReadProblem
from yard.services.stored_plan import way_as_planned


def with_waivers(read: ReadProblem, changes: Iterable[HandChange]) -> ReadProblem:
    """The facts with the waivers of a draft, which are not written yet."""
    jobs = {pk: index for index, pk in enumerate(read.jobs)}
    more = tuple(
        PlannerWaiver(rule=each["rule"], job=jobs[each["job"]], reason=one.reason, by=str(one.made_by or ""))
        for one in changes
        for each in one.waives
        if each["job"] in jobs
    )
    return replace(read, problem=replace(read.problem, waivers=(*read.problem.waivers, *more))) if more else read


def difference(
    read: ReadProblem, before: PlannerPlan, after: PlannerPlan
) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """What differs, in row ids and clock times, so that it is read on facts of another moment too."""
    was, nights = before.by_job(), {at.stay: at for at in before.stays}
    timeline = read.axis.timeline
    rows: list[dict[str, Any]] = [
        {
            "job": read.jobs[row.job],
            "way": read.problem.jobs[row.job].ways[row.way].name,
            "starts_at": timeline.starts_at(row.starts_at).isoformat(),
            "ends_at": timeline.ends_at(row.ends_at).isoformat(),
            "people": [read.people[person] for person in row.people],
            "places": [[read.problem.places[place].key, unit] for place, unit in row.places],
        }
        for row in after.placements
        if row != was.get(row.job)
    ]
    stays: list[dict[str, Any]] = [
        {"stay": pk, "place": read.problem.places[at.place].key, "unit": at.unit}
        for at in after.stays
        if at != nights.get(at.stay) and (pk := read.stays[at.stay]) is not None
    ]
    return rows, stays


def applied(read: ReadProblem, plan: PlannerPlan, one: HandChange) -> PlannerPlan:
    """The plan with a change; what names a job, a person or a place that is gone is left as it was."""
    jobs = {pk: index for index, pk in enumerate(read.jobs)}
    people = {pk: index for index, pk in enumerate(read.people)}
    places = {place.key: index for index, place in enumerate(read.problem.places)}
    stays = {pk: index for index, pk in enumerate(read.stays) if pk is not None}
    rows = plan.by_job()
    for kept in one.placements:
        if kept["job"] in jobs:
            row = _placement(read, kept, jobs[kept["job"]], people, places)
            rows[row.job] = row
    nights = {at.stay: at for at in plan.stays}
    for kept in one.stays:
        if kept["stay"] in stays and kept["place"] in places:
            stay = stays[kept["stay"]]
            nights[stay] = StayAt(stay=stay, place=places[kept["place"]], unit=kept["unit"])
    return replace(
        plan,
        placements=tuple(rows[number] for number in sorted(rows)),
        stays=tuple(nights[number] for number in sorted(nights)),
    )


def _placement(
    read: ReadProblem, kept: dict[str, Any], job: int, people: dict[int, int], places: dict[str, int]
) -> Placement:
    crew = tuple(people.get(pk, -1) for pk in kept["people"])
    held = tuple((places.get(key, -1), unit) for key, unit in kept["places"])
    minute, timeline = read.axis.minute, read.axis.timeline
    starts, ends = (datetime.fromisoformat(kept[name]) for name in ("starts_at", "ends_at"))
    elapsed = read.problem.jobs[job].pausing == "elapsed"
    return Placement(
        job=job,
        way=max(0, way_as_planned(read.problem, job, str(kept["way"]), crew, held)),
        starts_at=timeline.first_at_or_after(minute(starts)),
        ends_at=timeline.first_at_or_after(minute(ends))
        if elapsed
        else timeline.last_at_or_before(minute(ends) - 1) + 1,
        people=crew,
        places=held,
    )


def without_pins(read: ReadProblem, changes: Iterable[HandChange]) -> ReadProblem:
    """A job that a person moved is not held where it was pinned before."""
    jobs = {pk: index for index, pk in enumerate(read.jobs)}
    problem = read.problem
    for one in changes:
        for kept in one.placements:
            if kept["job"] in jobs:
                problem = unpinned(problem, jobs[kept["job"]])
    return replace(read, problem=problem)


def write_waivers(changes: Iterable[HandChange], by: User, now: datetime) -> None:
    for one in changes:
        for each in one.waives:
            if not Waiver.objects.filter(job=each["job"], rule=each["rule"], withdrawn_at=None).exists():
                waiver = Waiver(
                    rule=each["rule"],
                    job_id=each["job"],
                    limit=each["limit"],
                    reason=one.reason,
                    made_by=one.made_by or by,
                    made_at=now,
                )
                _write(waiver, one, now)


def write_pins(changes: Iterable[HandChange], by: User, now: datetime) -> None:
    """A job that was moved loses the pin it had; one that is to stay gets one, with its people and places as posted."""
    last = {one.job_id: one for one in changes}
    for job, one in last.items():
        for held in Pin.objects.filter(job=job, withdrawn_at=None):
            held.withdrawn_at = now
            _write(held, one, now)
        mine = next((kept for kept in one.placements if kept["job"] == job), None)
        if one.pins and mine is not None:
            pin = Pin(
                job_id=job,
                starts_at=datetime.fromisoformat(mine["starts_at"]),
                reason=(one.reason or one.says)[:200],
                made_by=one.made_by,
                made_at=now,
            )
            _write(pin, one, now)


def _write(row: Waiver | Pin, one: HandChange, now: datetime) -> None:
    sign(row, by=one.made_by, now=now, reason=one.reason or one.says)
    row.save()
