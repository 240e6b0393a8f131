"""The best plan of a tiny season by trying them all: the check alone decides which plans are good.

It knows nothing of how a planner works.  To be done in a second it drops a placement that breaks a rule by itself, and
two that break one together: no further placement mends that.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, permutations, product

from yard.planning.check import Breach, faults
from yard.planning.plan import Placement, Plan, StayAt, score
from yard.planning.problem import Problem, Way


def best_cost(problem: Problem) -> int | None:
    """The least cost of a plan without faults that places every job; None where there is none."""
    pinned = [
        Placement(
            job=pin.job,
            way=pin.way,
            starts_at=pin.starts_at,
            ends_at=pin.ends_at,
            people=pin.people,
            places=pin.places,
        )
        for pin in problem.pins
    ]
    fixed = {row.job for row in pinned}
    open_jobs = [index for index in range(len(problem.jobs)) if index not in fixed]
    options = [
        [row for row in every_placement(problem, job) if not _broken_for_good(problem, [*pinned, row])]
        for job in open_jobs
    ]
    apart = {
        (a, one, two)
        for a, b in combinations(range(len(open_jobs)), 2)
        for one in options[a]
        for two in options[b]
        if _broken_for_good(problem, [*pinned, one, two])
    }
    whole = [
        sorted([*pinned, *rows], key=lambda row: row.job)
        for rows in product(*options)
        if not any((a, rows[a], rows[b]) in apart for a, b in combinations(range(len(rows)), 2))
    ]
    by_cost = sorted((score(problem, Plan(placements=tuple(rows))).cost, at) for at, rows in enumerate(whole))
    for cost, at in by_cost:
        if any(not faults(problem, Plan(placements=tuple(whole[at]), stays=stays)) for stays in every_stays(problem)):
            return cost
    return None


def every_placement(problem: Problem, job: int) -> Iterator[Placement]:
    """Every way, start, end, crew and place, sensible or not."""
    size = problem.calendar.size
    row = problem.jobs[job]
    for number, way in enumerate(row.ways):
        crew_size = sum(need.count for need in way.crew)
        crews = list(permutations(range(len(problem.people)), crew_size))
        for starts in range(size):
            ends = range(starts + 1, size + 1)
            if row.pausing == "fitted":
                ends = range(starts + way.duration_quarters, starts + way.duration_quarters + 1)
            for end, people, places in product(ends, crews, _units(problem, way)):
                yield Placement(job=job, way=number, starts_at=starts, ends_at=end, people=people, places=places)


def _units(problem: Problem, way: Way) -> list[tuple[tuple[int, int], ...]]:
    choices = []
    for need in way.places:
        one_need = []
        for place in need.any_of:
            units = combinations(range(problem.places[place].capacity), need.units)
            one_need += [tuple((place, unit) for unit in row) for row in units]
        choices.append(one_need)
    return [tuple(pair for row in rows for pair in row) for rows in product(*choices)]


def every_stays(problem: Problem) -> Iterator[tuple[StayAt, ...]]:
    choices = [
        [
            StayAt(stay=index, place=place, unit=unit)
            for place in stay.any_of
            for unit in range(problem.places[place].capacity)
        ]
        for index, stay in enumerate(problem.stays)
    ]
    return product(*choices)


def _broken_for_good(problem: Problem, rows: list[Placement]) -> bool:
    """Whether the rows break a rule that no further row can mend."""

    def for_good(breach: Breach) -> bool:
        waits_for_nobody = breach.rule == "waits" and "starts_minute" not in breach.numbers
        return breach.rule not in ("complete", "stays") and not waits_for_nobody

    return any(for_good(breach) for breach in faults(problem, Plan(placements=tuple(rows))))
