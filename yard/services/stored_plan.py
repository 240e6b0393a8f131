"""A stored plan's rows as the planner's Plan, on a Problem read now."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from yard.models import Plan, PlannedJob, PlannedPerson, PlannedPlace
from yard.planning.plan import LeftOut, Placement, StayAt
from yard.planning.plan import Plan as PlannerPlan
from yard.planning.problem import Problem, Way
from yard.services.read_problem import ReadProblem

Row = TypeVar("Row", PlannedPerson, PlannedPlace)


def plan_from_rows(plan: Plan, read: ReadProblem) -> PlannerPlan:
    """The plan's rows laid on `read`; jobs that it does not hold any more are left away.

    A person or place that is gone becomes the index -1, which every check refuses.
    """
    jobs = {pk: index for index, pk in enumerate(read.jobs)}
    people = {pk: index for index, pk in enumerate(read.people)}
    places = {pk: index for index, pk in enumerate(read.places) if pk is not None}
    rows = plan.planned_jobs.prefetch_related("planned_people", "planned_places").order_by("id")
    placements = [_placement(read, row, jobs, people, places) for row in rows if row.job_id in jobs]
    stays = {pk: index for index, pk in enumerate(read.stays) if pk is not None}
    laid = [
        StayAt(stay=stays[row.stay_id], place=places.get(row.place_id, -1), unit=row.unit - 1)
        for row in plan.planned_stays.order_by("id")
        if row.stay_id in stays
    ]
    laid += _nameless_stays(read)
    boats = {pk: index for index, pk in enumerate(read.boats) if pk is not None}
    left = [
        LeftOut(boat=boats[row.boat_id], rule=row.rule, job=jobs.get(row.job_id or 0), reason=row.reason)
        for row in plan.left_out.exclude(rule="facts").order_by("id")
        if row.boat_id in boats
    ]
    return PlannerPlan(
        placements=tuple(sorted(placements, key=lambda placed: placed.job)), stays=tuple(laid), left_out=tuple(left)
    )


def plan_on_the_wall(read: ReadProblem) -> PlannerPlan | None:
    """The posted plan as a beginning for the next one; None where none is posted.

    Begun from it, a new plan keeps what still holds, and a boat that had her tide does not lose it to chance.
    Whoever is gone from the yard is gone from it; boats that were left out are placed anew.
    """
    posted = Plan.objects.filter(state=Plan.State.POSTED).order_by("id").first()
    if posted is None:
        return None
    laid = plan_from_rows(posted, read)
    kept = [row for row in laid.placements if -1 not in row.people and all(place >= 0 for place, _ in row.places)]
    kept = [row for row in kept if row.way >= 0 and row.starts_at >= read.problem.now]
    placed = {row.job for row in kept}
    stays = [at for at in laid.stays if at.place >= 0 and _stands(read, at.stay, placed)]
    return PlannerPlan(placements=tuple(kept), stays=tuple(stays))


def plan_to_mend(posted: Plan, read: ReadProblem) -> PlannerPlan:
    """A posted plan as what a proposal moves least away from: all its work, also what should have begun by now."""
    laid = plan_from_rows(posted, read)
    kept = [row for row in laid.placements if -1 not in row.people and all(place >= 0 for place, _ in row.places)]
    kept = [row for row in kept if row.way >= 0 and row.starts_at < row.ends_at]
    placed = {row.job for row in kept}
    stays = [at for at in laid.stays if at.place >= 0 and _stands(read, at.stay, placed)]
    return PlannerPlan(placements=tuple(kept), stays=tuple(stays))


def _stands(read: ReadProblem, stay: int, placed: set[int]) -> bool:
    """Whether the jobs at both ends of a stay are among those placed."""
    row = read.problem.stays[stay]
    return all(job is None or job in placed for job in (row.from_job, row.until_job))


def _placement(
    read: ReadProblem, row: PlannedJob, jobs: dict[int, int], people: dict[int, int], places: dict[int, int]
) -> Placement:
    index = jobs[row.job_id]
    job, timeline = read.problem.jobs[index], read.axis.timeline
    starts, ends = read.axis.minute(row.starts_at), read.axis.minute(row.ends_at)
    elapsed = job.pausing == "elapsed"
    crew = tuple(people.get(each.person_id, -1) for each in _as_written(row.planned_people.all()))
    held = tuple((places.get(each.place_id, -1), each.unit - 1) for each in _as_written(row.planned_places.all()))
    return Placement(
        job=index,
        way=way_as_planned(read.problem, index, str(row.way), crew, held),
        starts_at=timeline.first_at_or_after(starts),
        ends_at=timeline.first_at_or_after(ends) if elapsed else timeline.last_at_or_before(ends - 1) + 1,
        people=crew,
        places=held,
    )


def way_as_planned(
    problem: Problem, job: int, name: str, people: tuple[int, ...], places: tuple[tuple[int, int], ...]
) -> int:
    """Which of the planner's ways a stored job was planned by, or -1.

    A row's way may be several of the planner's (one for each of the crew who may work the place): the one that these
    people and places fill, else the first, so that the check says what is wrong.
    """
    named = [number for number, way in enumerate(problem.jobs[job].ways) if way.name == name]
    filled = [number for number in named if _fills(problem, problem.jobs[job].ways[number], people, places)]
    return next(iter(filled or named), -1)


def _fills(problem: Problem, way: Way, people: tuple[int, ...], places: tuple[tuple[int, int], ...]) -> bool:
    crew = [need for need in way.crew for _ in range(need.count)]
    spots = [need for need in way.places for _ in range(need.units)]
    if len(crew) != len(people) or len(spots) != len(places):
        return False
    able = all(
        person >= 0 and problem.people[person].skills.get(need.skill, 0) >= need.level
        for need, person in zip(crew, people, strict=True)
    )
    return able and all(place in need.any_of for need, (place, _unit) in zip(spots, places, strict=True))


def _as_written(rows: Iterable[Row]) -> list[Row]:
    """In the order in which the plan named them, which is that of the way's needs."""
    return sorted(rows, key=lambda row: row.pk)


def _nameless_stays(read: ReadProblem) -> list[StayAt]:
    """Stays that have no row: a boat that simply lies somewhere, or holds a mooring. First unit that is free."""
    taken: dict[int, int] = {}
    found = []
    for index, pk in enumerate(read.stays):
        if pk is None:
            place = read.problem.stays[index].any_of[0]
            found.append(StayAt(stay=index, place=place, unit=taken.get(place, 0)))
            taken[place] = taken.get(place, 0) + 1
    return found
