"""What is held for callers, laid into the plan on the wall: where it stands until a plan is posted with it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

from yard.models import HeldDays
from yard.planning.plan import Placement, StayAt
from yard.planning.plan import Plan as PlannerPlan
from yard.planning.timeline import Timeline
from yard.services.read_problem import ReadProblem


def with_held(read: ReadProblem, plan: PlannerPlan, *, now: datetime) -> PlannerPlan:
    """The plan with the jobs held at `now` that it does not place itself. One query.

    A job whose people or places are gone, or that should have begun, is left away: then nothing keeps its day.
    """
    index = {pk: number for number, pk in enumerate(read.jobs)}
    placed = {row.job for row in plan.placements}
    stays = {pk: number for number, pk in enumerate(read.stays) if pk is not None}
    lain = {at.stay for at in plan.stays}
    jobs, berths = list(plan.placements), list(plan.stays)
    places = {pk: number for number, pk in enumerate(read.places) if pk is not None}
    for held in HeldDays.objects.filter(state=HeldDays.State.HELD, until__gt=now).order_by("id"):
        mine = [_placement(read, row, index, places) for row in held.jobs if index.get(row["job"], -1) not in placed]
        if any(row is None for row in mine):
            continue
        jobs += [row for row in mine if row is not None]
        berths += [
            StayAt(stay=stays[stay], place=places[place], unit=unit)
            for stay, place, unit in held.stays
            if stay in stays and stays[stay] not in lain and place in places
        ]
    ordered = tuple(sorted(jobs, key=lambda row: row.job))
    return replace(plan, placements=ordered, stays=tuple(berths))


def rows_of(read: ReadProblem, plan: PlannerPlan, jobs: set[int]) -> tuple[list[dict[str, Any]], list[list[int]]]:
    """The placements and stays of these jobs (ids of rows) as a hold keeps them."""
    timeline = read.axis.timeline
    kept = [
        {
            "job": read.jobs[row.job],
            "way": row.way,
            "starts_at": timeline.starts_at(row.starts_at).isoformat(),
            "ends_at": timeline.ends_at(row.ends_at).isoformat(),
            "people": [read.people[person] for person in row.people],
            "places": [[read.places[place], unit] for place, unit in row.places],
        }
        for row in plan.placements
        if read.jobs[row.job] in jobs
    ]
    hers = {number for number, pk in enumerate(read.jobs) if pk in jobs}
    stays = [
        [pk, place, at.unit]
        for at in plan.stays
        if (pk := read.stays[at.stay]) is not None
        and (place := read.places[at.place]) is not None
        and read.problem.stays[at.stay].from_job in hers
    ]
    return kept, stays


def _placement(
    read: ReadProblem, row: dict[str, Any], index: dict[int, int], places: dict[int, int]
) -> Placement | None:
    people = {pk: number for number, pk in enumerate(read.people)}
    timeline: Timeline = read.axis.timeline
    job = index.get(row["job"])
    starts = timeline.first_at_or_after(read.axis.minute(datetime.fromisoformat(row["starts_at"])))
    ends = timeline.last_at_or_before(read.axis.minute(datetime.fromisoformat(row["ends_at"])) - 1) + 1
    gone = any(person not in people for person in row["people"]) or any(
        place not in places for place, _ in row["places"]
    )
    if job is None or gone or starts < read.problem.now or row["way"] >= len(read.problem.jobs[job].ways):
        return None
    return Placement(
        job=job,
        way=row["way"],
        starts_at=starts,
        ends_at=max(ends, starts + 1),
        people=tuple(people[person] for person in row["people"]),
        places=tuple((places[place], unit) for place, unit in row["places"]),
    )
