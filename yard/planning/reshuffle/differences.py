"""What the difference of two plans means to people: whose day moves, which jobs, who works differently.

A job is moved when its day changes.  Indoor work that comes earlier disturbs nobody, and drying has no day of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from yard.planning.plan import Placement, Plan
from yard.planning.problem import Job, Problem

Change = Literal["moved", "pulled forward", "other hours", "other people", "dropped", "added"]


@dataclass(frozen=True, slots=True)
class JobChange:
    """One job that the new plan has otherwise. `was` is None for a job added, `becomes` for a job dropped."""

    job: int
    change: Change
    was: Placement | None
    becomes: Placement | None


@dataclass(frozen=True, slots=True, order=True)
class Disturbance:
    """How much a plan disturbs the one before, in the order in which it counts.

    firm: boats moved whose owner was told a firm day.  boats, jobs: those moved (or dropped).
    people: those whose jobs of some day are not what they were.
    """

    firm: int
    boats: int
    jobs: int
    people: int


def is_indoor(job: Job) -> bool:
    """Work that asks neither for the boat nor for light, water or weather: canvas on the floor, a bench job."""
    return not job.needs_boat and not any(way.inside for way in job.ways)


def quiet_days(problem: Problem, was: Placement) -> tuple[int, int]:
    """The days [first, last] on which the job may start without anybody being disturbed."""
    job = problem.jobs[was.job]
    day = was.starts_at // problem.calendar.quarters_per_day
    if job.pausing == "elapsed":
        return 0, problem.calendar.days - 1
    return (0 if is_indoor(job) else day), day


def changes(problem: Problem, before: Plan, after: Plan) -> tuple[JobChange, ...]:
    """Every job that differs, in the order of the jobs."""
    old, new = before.by_job(), after.by_job()
    found = []
    for job in range(len(problem.jobs)):
        was, becomes = old.get(job), new.get(job)
        if was == becomes or (change := _change(problem, was, becomes)) is None:
            continue
        found.append(JobChange(job, change, was, becomes))
    return tuple(found)


def _change(problem: Problem, was: Placement | None, becomes: Placement | None) -> Change | None:
    if was is None:
        return "added"
    if becomes is None:
        return "dropped"
    per_day = problem.calendar.quarters_per_day
    day, home = becomes.starts_at // per_day, was.starts_at // per_day
    first, last = quiet_days(problem, was)
    if not first <= day <= last:
        return "moved"
    if day < home and problem.jobs[was.job].pausing != "elapsed":
        return "pulled forward"
    if (becomes.starts_at, becomes.ends_at) != (was.starts_at, was.ends_at):
        return "other hours"
    return "other people" if set(becomes.people) != set(was.people) else None


def moved_boats(problem: Problem, differing: tuple[JobChange, ...]) -> frozenset[int]:
    """Boats with a job moved to another day, or dropped."""
    return frozenset(problem.jobs[row.job].boat for row in differing if row.change in ("moved", "dropped"))


def disturbance(problem: Problem, before: Plan, after: Plan, firm: frozenset[int]) -> Disturbance:
    """firm: boats whose owner was told a firm day."""
    differing = changes(problem, before, after)
    boats = moved_boats(problem, differing)
    jobs = sum(row.change in ("moved", "dropped") for row in differing)
    return Disturbance(len(boats & firm), len(boats), jobs, len(people_changed(problem, before, after)))


def people_changed(problem: Problem, before: Plan, after: Plan) -> frozenset[int]:
    """People whose jobs of some day are not what they were."""
    old, new = (set(_work(problem, plan)) for plan in (before, after))
    return frozenset(person for person, _day, _job in old ^ new)


def _work(problem: Problem, plan: Plan) -> Iterator[tuple[int, int, int]]:
    per_day = problem.calendar.quarters_per_day
    for placed in plan.placements:
        for person in placed.people:
            yield person, placed.starts_at // per_day, placed.job
