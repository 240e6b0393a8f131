"""Why some jobs found no room in a plan that otherwise stands: which family of rules, given up alone, would make it.

Tried on the small Problem of `freed`, one family after another; what is told is the first that is enough. Where none
is, several stand in the way together.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Literal

from yard.planning.freed import Freed, Room
from yard.planning.problem import Job, Problem, ProblemInvalid
from yard.planning.units import CannotExpress

Stands = Literal["nights", "longest waits", "last start", "windows", "places", "people", "several"]


def what_stands(freed: Freed) -> Stands:
    """freed: with its free jobs not placed. Asks the compiled engine once for each family."""
    for name, give_up in FAMILIES.items():
        try:
            if Room(give_up(freed)).insert():
                return name
        except (CannotExpress, ProblemInvalid):
            continue
    return "several"


def _nights(freed: Freed) -> Problem:
    return replace(freed.problem, stays=())


def _longest_waits(freed: Freed) -> Problem:
    return replace(freed.problem, links=tuple(replace(link, max_wait=None) for link in freed.problem.links))


def _last_start(freed: Freed) -> Problem:
    return _jobs(freed, lambda job: replace(job, not_after=None))


def _windows(freed: Freed) -> Problem:
    return _jobs(freed, lambda job: replace(job, ways=tuple(replace(way, inside=()) for way in job.ways)))


def _places(freed: Freed) -> Problem:
    return _jobs(freed, lambda job: replace(job, ways=tuple(replace(way, places=()) for way in job.ways)))


def _people(freed: Freed) -> Problem:
    return _jobs(freed, lambda job: replace(job, ways=tuple(replace(way, crew=()) for way in job.ways)))


def _jobs(freed: Freed, change: Callable[[Job], Job]) -> Problem:
    """The free jobs changed, the others as they are."""
    mine = {freed.at[number] for number in freed.free}
    jobs = (change(job) if number in mine else job for number, job in enumerate(freed.problem.jobs))
    return replace(freed.problem, jobs=tuple(jobs))


FAMILIES: Mapping[Stands, Callable[[Freed], Problem]] = {
    "nights": _nights,
    "longest waits": _longest_waits,
    "last start": _last_start,
    "windows": _windows,
    "places": _places,
    "people": _people,
}
