"""A plan as arrays over the axis: who is busy, what is taken, who lies where by night."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from yard.planning.plan import Placement, Plan
from yard.planning.problem import QUARTER_MIN, Problem
from yard.planning.timeline import Timeline

Bools = NDArray[np.bool_]
Numbers = NDArray[np.int64]


class Booked:
    """All that a plan takes. minutes: the clock minute of each axis position, shape (size,).

    busy: people x positions.  taken: units of each place by position.  nights: boats at each place in the night
    after each day.  on_boat: the jobs that need a boat, by boat.
    """

    def __init__(self, problem: Problem, plan: Plan) -> None:
        self.problem = problem
        self.timeline = Timeline(problem.calendar)
        self.per_day = problem.calendar.quarters_per_day
        self.size = problem.calendar.size
        self.placed = plan.by_job()
        starts = np.asarray(problem.calendar.day_starts, dtype=np.int64)
        quarters = np.arange(self.per_day, dtype=np.int64) * QUARTER_MIN
        self.minutes: Numbers = (starts[:, None] + quarters[None, :]).reshape(-1)
        self.busy = np.zeros((len(problem.people), self.size), dtype=bool)
        self.taken = [np.zeros(self.size, dtype=np.int64) for _ in problem.places]
        self.on_boat: dict[int, list[Placement]] = {}
        for placed in plan.placements:
            self._book(placed)
        self.nights = self._nights(plan)
        self.open = [~within(self.minutes, place.closed) for place in problem.places]
        self._masks: dict[tuple[str, int], Bools] = {}

    def kept_until(self, ends_at: int, extra: int) -> int:
        """How long a place stays taken after work that ends there: at most to the end of that day."""
        return min(ends_at + extra, ((ends_at - 1) // self.per_day + 1) * self.per_day)

    def run_by_others(self, place: int, job: int) -> Numbers:
        """Quarters that other jobs run of each of the place's charges, shape (charges,)."""
        found = np.zeros(len(self.problem.places[place].charges), dtype=np.int64)
        for placed in self.placed.values():
            units = 0 if placed.job == job else sum(at == place for at, _ in placed.places)
            if units:
                at = self.minutes[placed.starts_at : placed.ends_at]
                for number, charge in enumerate(self.problem.places[place].charges):
                    found[number] += units * int(((at >= charge.starts) & (at < charge.ends)).sum())
        return found

    def _book(self, placed: Placement) -> None:
        job = self.problem.jobs[placed.job]
        extra = job.ways[placed.way].place_extra_quarters
        for person in placed.people:
            self.busy[person, placed.starts_at : placed.ends_at] = True
        for place, _ in placed.places:
            self.taken[place][placed.starts_at : self.kept_until(placed.ends_at, extra)] += 1
        if job.needs_boat:
            self.on_boat.setdefault(job.boat, []).append(placed)

    def _nights(self, plan: Plan) -> list[Numbers]:
        found = [np.zeros(self.problem.calendar.days, dtype=np.int64) for _ in self.problem.places]
        for at in plan.stays:
            stay = self.problem.stays[at.stay]
            if all(job is None or job in self.placed for job in (stay.from_job, stay.until_job)):
                first = 0 if stay.from_job is None else (self.placed[stay.from_job].ends_at - 1) // self.per_day
                last = None if stay.until_job is None else self.placed[stay.until_job].starts_at // self.per_day
                found[at.place][first:last] += 1
        return found

    def hours_of(self, person: int, *, slides: bool) -> Bools:
        """The quarters at which somebody may work; slides: each day as far as theirs ever slides for a tide."""
        key = ("slid" if slides else "hours", person)
        if key not in self._masks:
            row = self.problem.people[person]
            mask = within(self.minutes, row.hours)
            if slides and row.slide is not None:
                wide = mask.reshape(-1, self.per_day)
                for day in np.flatnonzero(wide.any(axis=1)):
                    at = np.flatnonzero(wide[day])
                    wide[day, max(0, at[0] - row.slide.early_min // QUARTER_MIN) : at[0]] = True
                    wide[day, at[-1] + 1 : at[-1] + 1 + row.slide.late_min // QUARTER_MIN] = True
                mask = wide.reshape(-1)
            self._masks[key] = mask & ~within(self.minutes, row.away)
        return self._masks[key]

    def windows(self, window_set: int) -> Bools:
        """The quarters that lie inside a window set."""
        key = ("window", window_set)
        if key not in self._masks:
            self._masks[key] = within(self.minutes, self.problem.window_sets[window_set].intervals)
        return self._masks[key]


def within(minutes: Numbers, intervals: tuple[tuple[int, int], ...]) -> Bools:
    """Whether each quarter lies wholly inside one of the intervals (sorted, disjoint)."""
    if not intervals:
        return np.zeros(len(minutes), dtype=bool)
    starts = np.array([one for one, _ in intervals], dtype=np.int64)
    ends = np.array([two for _, two in intervals], dtype=np.int64)
    at = np.searchsorted(starts, minutes, side="right") - 1
    return np.asarray((at >= 0) & (minutes + QUARTER_MIN <= ends[np.maximum(at, 0)]), dtype=bool)
