"""What is taken out and put back as one, and in which order: joined by an order, a stay, a maximum wait, a circle."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from yard.planning.problem import Link, Problem


class CannotExpress(Exception):
    """A Problem with a feature that the engine does not have; `reason` says which."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


@dataclass(frozen=True, slots=True)
class Units:
    """unit_of: by boat.  jobs: all jobs of each unit in topological order.  orders: of each unit.

    links: those that say something (see `_telling`).  fronts: units that must be planned before each unit.
    levels: how many units stand in front of each, at the longest.
    """

    unit_of: tuple[int, ...]
    jobs: tuple[tuple[int, ...], ...]
    orders: tuple[tuple[int, ...], ...]
    links: tuple[Link, ...]
    fronts: tuple[tuple[int, ...], ...]
    levels: tuple[int, ...]


def group(problem: Problem) -> Units:
    """Raises CannotExpress for jobs that wait for one another in a circle."""
    links = tuple(link for link in problem.links if _telling(problem, link))
    edges = [(link.before, link.after) for link in links] + [
        (stay.from_job, stay.until_job)
        for stay in problem.stays
        if stay.from_job is not None and stay.until_job is not None
    ]
    order = _job_order(len(problem.jobs), edges)
    root = _join(problem, links, edges)
    names = {boat: number for number, boat in enumerate(sorted(set(root)))}
    unit_of = tuple(names[boat] for boat in root)
    jobs: list[list[int]] = [[] for _ in names]
    for job in order:
        jobs[unit_of[problem.jobs[job].boat]].append(job)
    orders: list[set[int]] = [set() for _ in names]
    fronts: list[set[int]] = [set() for _ in names]
    for row in problem.jobs:
        orders[unit_of[row.boat]].add(row.order)
    for before, after in edges:
        front, behind = unit_of[problem.jobs[before].boat], unit_of[problem.jobs[after].boat]
        if front != behind:
            fronts[behind].add(front)
    return Units(
        unit_of,
        tuple(map(tuple, jobs)),
        tuple(tuple(sorted(o)) for o in orders),
        links,
        tuple(tuple(sorted(f)) for f in fronts),
        _levels(fronts),
    )


def _telling(problem: Problem, link: Link) -> bool:
    """A link with neither side says nothing; nor does "start within a while of my follower's end" behind a wait."""
    if link.min_wait is None and link.max_wait is None:
        return False
    if link.min_wait is not None or link.max_wait is None or link.max_wait < 0:
        return True
    return not _reaches(problem, link.after, link.before)


def _reaches(problem: Problem, start: int, goal: int) -> bool:
    after: dict[int, list[int]] = {}
    for link in problem.links:
        if link.min_wait is not None and link.min_wait >= 0:
            after.setdefault(link.before, []).append(link.after)
    seen, open_jobs = {start}, [start]
    while open_jobs:
        job = open_jobs.pop()
        if job == goal:
            return True
        fresh = [x for x in after.get(job, ()) if x not in seen]
        seen.update(fresh)
        open_jobs += fresh
    return False


def _job_order(jobs: int, edges: Iterable[tuple[int, int]]) -> list[int]:
    """Topological, lowest index first."""
    after: list[list[int]] = [[] for _ in range(jobs)]
    waiting = [0] * jobs
    for one, two in edges:
        after[one].append(two)
        waiting[two] += 1
    free = [job for job in range(jobs) if not waiting[job]]
    order: list[int] = []
    while free:
        job = heapq.heappop(free)
        order.append(job)
        for follower in after[job]:
            waiting[follower] -= 1
            if not waiting[follower]:
                heapq.heappush(free, follower)
    if len(order) < jobs:
        raise CannotExpress("jobs wait for one another in a circle, through waits that are negative or only a maximum")
    return order


def _join(problem: Problem, links: Iterable[Link], edges: Iterable[tuple[int, int]]) -> list[int]:
    """By boat, the lowest boat of its unit."""
    root = list(range(len(problem.boats)))

    def find(boat: int) -> int:
        while root[boat] != boat:
            boat = root[boat]
        return boat

    def join(one: int, two: int) -> None:
        one, two = sorted((find(one), find(two)))
        root[two] = one

    for one, two in _together(problem, links):
        join(one, two)
    pairs = {(problem.jobs[a].boat, problem.jobs[b].boat) for a, b in edges}
    while True:
        graph: dict[int, set[int]] = {}
        for front, behind in pairs:
            if find(front) != find(behind):
                graph.setdefault(find(behind), set()).add(find(front))
        try:
            TopologicalSorter(graph).prepare()
        except CycleError as error:
            for boat in error.args[1]:
                join(error.args[1][0], boat)
            continue
        return [find(boat) for boat in root]


def _together(problem: Problem, links: Iterable[Link]) -> Iterator[tuple[int, int]]:
    """Pairs of boats that are planned as one."""
    first: dict[int, int] = {}
    for job in problem.jobs:
        yield first.setdefault(job.order, job.boat), job.boat
    for stay in problem.stays:
        for number in (stay.from_job, stay.until_job):
            if number is not None:
                yield stay.boat, problem.jobs[number].boat
    for link in links:
        if link.max_wait is not None:  # whoever must not follow too late may have to move the job before
            yield problem.jobs[link.before].boat, problem.jobs[link.after].boat


def _levels(fronts: list[set[int]]) -> tuple[int, ...]:
    levels = [0] * len(fronts)
    for unit in TopologicalSorter(dict(enumerate(fronts))).static_order():
        levels[unit] = 1 + max((levels[front] for front in fronts[unit]), default=-1)
    return tuple(levels)
