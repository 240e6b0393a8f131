"""Which boats must move in any plan: a lower bound that needs no search.

A boat stays only if each of her jobs can start within its quiet days, after the earliest ends of what it waits for.
Where that is impossible even if she were alone in the yard with what is pinned (her waits, windows, dates, people's
hours and closed places alone forbid it), she moves in every plan.  That other boats want the same people and places,
and longest waits, are left out, so more boats may have to move than are named here; never fewer.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from yard.planning import engine as e
from yard.planning.layout import Layout
from yard.planning.plan import Plan
from yard.planning.reshuffle.differences import quiet_days
from yard.planning.state import empty_state

Reached = dict[int, tuple[int, int]]
"""The earliest start and the earliest end of jobs, FAR where there is none."""


@dataclass(frozen=True, slots=True)
class MustMove:
    """A boat that moves in every plan, and her first job that cannot keep its day."""

    boat: int
    job: int


def must_move(layout: Layout, posted: Plan) -> tuple[MustMove, ...]:
    """By boat, rising."""
    problem = layout.problem
    alone = _Alone(layout)
    found: dict[int, int] = {}
    planned = posted.by_job()
    anywhere = (0, problem.calendar.days - 1)
    for unit in range(len(layout.units.jobs)):
        free: Reached = {}
        for job in layout.units.jobs[unit]:
            free[job] = alone.reach(job, anywhere, free)
        staying: dict[int, Reached] = {}  # by boat: her own jobs stay, those of another boat may have gone
        for job in layout.units.jobs[unit]:
            boat = problem.jobs[job].boat
            quiet = quiet_days(problem, planned[job]) if job in planned else anywhere
            hers = staying.setdefault(boat, {})
            hers[job] = alone.reach(job, quiet, free | hers)
            if hers[job][0] >= e.FAR and job in planned:
                found.setdefault(boat, job)
    return tuple(MustMove(boat, job) for boat, job in sorted(found.items()))


def never_whole(layout: Layout) -> frozenset[int]:
    """Units of which some job has no start at all, even alone in the yard: no search places them."""
    alone = _Alone(layout)
    anywhere = (0, layout.problem.calendar.days - 1)
    found = set()
    for unit, jobs in enumerate(layout.units.jobs):
        free: Reached = {}
        for job in jobs:
            free[job] = alone.reach(job, anywhere, free)
        if any(start >= e.FAR for start, _end in free.values()):
            found.add(unit)
    return frozenset(found)


class _Alone:
    """The yard with what is pinned and nothing else."""

    def __init__(self, layout: Layout) -> None:
        self.layout, self.g = layout, layout.g
        self.state = empty_state(layout)

    def reach(self, job: int, days: tuple[int, int], known: Reached) -> tuple[int, int]:
        """The earliest start, and the earliest end, of a job on these days after all that comes before it."""
        held = self.g[e.HELD] + job * self.g[e.HELD_STRIDE]
        if self.g[self.g[e.JOB] + job * e.JOB_STRIDE + e.J_PINNED]:
            return self.state[held], self.state[held + e.H_END]
        ready = self._ready(job, known)
        found = [
            (start, e.end_of(self.g, mode, start))
            for mode in self._modes(job)
            if (start := self._first(mode, days, ready)) >= 0
        ]
        return min((start for start, _ in found), default=e.FAR), min((end for _, end in found), default=e.FAR)

    def _modes(self, job: int) -> Iterator[int]:
        row = self.g[e.JOB] + job * e.JOB_STRIDE
        for number in range(self.g[row + e.J_MODE_COUNT]):
            yield self.g[row + e.J_MODES] + number * e.MODE_STRIDE

    def _first(self, mode: int, days: tuple[int, int], ready: int) -> int:
        g, shift = self.g, self.g[e.SHIFT]
        lo = max(g[mode + e.K_LO], days[0] << shift, ready)
        hi = min(g[mode + e.K_HI], (days[1] << shift) + g[e.QUARTERS] - 1)
        return e.find_first(g, self.state, mode, lo, hi) if lo <= hi else -1

    def _ready(self, job: int, known: Reached) -> int:
        g, ready = self.g, 0
        row = g[e.JOB] + job * e.JOB_STRIDE
        for number in range(g[row + e.J_BEFORE_COUNT]):
            link = g[g[row + e.J_BEFORE] + number]
            before = g[link + e.L_BEFORE]
            if g[link + e.L_EARLIEST] < 0 or before not in known:
                continue  # a longest wait alone, or another unit's job: leaving it out keeps the bound true
            key = known[before][0 if g[link + e.L_ELAPSED] else 1]
            if key >= e.FAR:
                return int(e.FAR)
            ways = {g[mode + e.K_WAY] for mode in self._modes(before)}
            ready = max(ready, min(g[g[link + e.L_EARLIEST] + g[link + e.L_WAY] * way + key] for way in ways))
        return ready
