"""Places and boats as rows of free words: one a unit of a place, one a boat that is wanted in two places."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

from yard.planning.axis import Axis
from yard.planning.problem import Problem
from yard.planning.spent import Spent
from yard.planning.tables import Tables
from yard.planning.units import Units


@dataclass(frozen=True, slots=True)
class Ground:
    """unit_rows: first row of each place.  boat_rows: by boat.  open_rows: by place that is ever closed.

    constant_rows: words of the rows that nothing takes.  spent: what its charges give, by place that has them.
    """

    unit_rows: list[int]
    boat_rows: dict[int, int]
    open_rows: dict[int, int]
    constant_rows: dict[int, list[int]]
    spent: dict[int, list[Spent]] = field(default_factory=dict)

    def first_spent(self, rows: int) -> int:
        """The first row of what charges give; they are the last of the `rows`."""
        return min((turn.first for turns in self.spent.values() for turn in turns), default=rows)


def lay_out(problem: Problem, axis: Axis, units: Units, tables: Tables) -> Ground:
    """Give every unit of a place a row, and each boat whose jobs could overlap one of her own."""
    pinned = {pin.job for pin in problem.pins}
    unit_rows = [tables.new_row(place.capacity) for place in problem.places]
    open_rows: dict[int, int] = {}
    constant_rows: dict[int, list[int]] = {}
    for number, place in enumerate(problem.places):
        if place.closed:
            open_rows[number] = tables.new_row()
            shut = axis.touched(place.closed)
            constant_rows[open_rows[number]] = [axis.full & ~word for word in shut]
    after: dict[int, set[int]] = {}
    for link in problem.links:
        if link.min_wait is not None and link.min_wait >= 0:
            after.setdefault(link.before, set()).add(link.after)
    needing: dict[int, list[int]] = {}
    for jobs in units.jobs:
        for job in jobs:
            if problem.jobs[job].needs_boat:
                needing.setdefault(problem.jobs[job].boat, []).append(job)
    boat_rows = {
        boat: tables.new_row()
        for boat, jobs in needing.items()
        if any(two not in _reached(after, one) for one, two in pairwise(jobs)) or any(job in pinned for job in jobs)
    }
    return Ground(unit_rows, boat_rows, open_rows, constant_rows)


def _reached(after: dict[int, set[int]], job: int) -> set[int]:
    seen: set[int] = set()
    rest = [job]
    while rest:
        fresh = after.get(rest.pop(), set()) - seen
        seen |= fresh
        rest += fresh
    return seen
