"""It blows: what instead?  Indoor work of later days that whoever is freed could do on a day that is lost outdoors.

All candidates are set free at once and put in at their earliest, everybody else pinned, so that what is found can be
done together: no two of them claim one person, one place or one hour.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace

from yard.planning.check import faults
from yard.planning.freed import Freed
from yard.planning.plan import Placement, Plan
from yard.planning.problem import Problem


def rain_work(
    problem: Problem, plan: Plan, *, day: int, lost: Collection[int], indoor: Iterable[int]
) -> list[Placement]:
    """Where indoor jobs of later days would stand on axis day `day` if the jobs `lost` were not done, by start.

    indoor: the jobs that may be asked; one that follows a lost job is not. `plan` is a plan of `problem` and is not
    changed. Each placement passes the check beside all that is not lost. Raises CannotExpress.
    """
    left = replace(plan, placements=tuple(row for row in plan.placements if row.job not in lost))
    placed, after = left.by_job(), _followers(problem, lost)
    free = [job for job in indoor if job in placed and job not in after and _day(problem, placed[job]) > day]
    if not free:
        return []
    freed = Freed(problem, left, free)
    room = freed.room()
    room.insert()
    found = {freed.kept[row.job]: replace(row, job=freed.kept[row.job]) for row in room.plan().placements}
    mine = [found[job] for job in freed.free if job in found and _day(problem, found[job]) == day]
    return _that_hold(problem, left, sorted(mine, key=lambda row: (row.starts_at, row.job)))


def _that_hold(problem: Problem, left: Plan, mine: list[Placement]) -> list[Placement]:
    """Without those that break a rule beside what stays; the others of `left` stand where they were."""
    while mine:
        moved = {row.job for row in mine}
        rows = (*(row for row in left.placements if row.job not in moved), *mine)
        whole = replace(left, placements=tuple(sorted(rows, key=lambda row: row.job)))
        broken = {fault.job for fault in faults(problem, whole)} & moved
        if not broken:
            break
        mine = [row for row in mine if row.job not in broken]
    return mine


def _followers(problem: Problem, jobs: Collection[int]) -> set[int]:
    """The jobs and all that follow one of them, however far."""
    after: dict[int, list[int]] = {}
    for link in problem.links:
        after.setdefault(link.before, []).append(link.after)
    found, ahead = set(jobs), list(jobs)
    while ahead:
        for job in after.get(ahead.pop(), ()):
            if job not in found:
                found.add(job)
                ahead.append(job)
    return found


def _day(problem: Problem, row: Placement) -> int:
    return row.starts_at // problem.calendar.quarters_per_day
