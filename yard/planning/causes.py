"""What sets the date of each order of a plan: her jobs backward from the last, and at each what held its start.

A job starts when the job before it is over and its waits are, when its own dates allow, when there is water, light and
open ground, when its people are at work and free, and when its places are free.  Where a job starts later than it was
ready, each family of rules is given up alone; the one whose giving up brings the earliest start is what held it.
Where several things are short together, `crowded` is the answer.  Needs of one job are looked at one by one and all
together, which is exact for two of them; a reason is never told of a start that was possible.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from yard.planning.booked import Booked
from yard.planning.held import Family, HeldJob, soonest
from yard.planning.plan import Placement, Plan
from yard.planning.problem import Link, Problem

Kind = (
    Family
    | Literal[
        "wait",  # drying, cure, the weather allowance: clock time after the job before
        "dates",  # a fact expected, an owner's earliest date, work done before
        "now",  # nothing new starts in the past
        "crowded",  # several families together
        "follows",  # it waits for the job that must follow it soon
        "room",  # nothing: it could start earlier
    ]
)

HELD_FROM_QUARTERS = 4
"""Less than an hour is the plan's grain, no reason (a choice)."""


@dataclass(frozen=True, slots=True)
class Cause:
    """One reason in the row of jobs that sets an order's date.

    job: index.  ready_at, starts_at: axis positions between which the reason held it (of a wait: from the end of the
    job before to its own end); the job starts then, or has its first free start then and begins a little later.
    days: working days between them.  detail: the skills, the places, the link's reason or the job it follows, in the
    Problem's own words.  could_start_at: where giving up this reason alone would have let it start; None where that
    says nothing.
    """

    job: int
    kind: Kind
    ready_at: int
    starts_at: int
    days: int
    detail: str = ""
    could_start_at: int | None = None


def causes(problem: Problem, plan: Plan) -> dict[int, tuple[Cause, ...]]:
    """By order: the reasons in order of time.  An order that nothing held for an hour has none."""
    walk = _Walk(problem, plan)
    last: dict[int, Placement] = {}
    for placed in plan.placements:
        order = problem.jobs[placed.job].order
        if order not in last or placed.ends_at > last[order].ends_at:
            last[order] = placed
    return {order: tuple(reversed(list(walk.back_from(placed.job)))) for order, placed in last.items()}


class _Walk:
    """Backward through the jobs of a plan."""

    def __init__(self, problem: Problem, plan: Plan) -> None:
        self.problem = problem
        self.booked = Booked(problem, plan)
        self.timeline = self.booked.timeline
        self.placed = self.booked.placed
        self.pinned = {pin.job for pin in problem.pins}
        self.before: dict[int, list[Link]] = {}
        self.after: dict[int, list[Link]] = {}
        for link in problem.links:
            self.before.setdefault(link.after, []).append(link)
            self.after.setdefault(link.before, []).append(link)
        quarter = np.arange(self.booked.size) % self.booked.per_day
        closes = problem.calendar.closes_quarter or self.booked.per_day
        open_now = (quarter >= problem.calendar.opens_quarter) & (quarter < closes)
        self.worked = np.concatenate(([0], np.cumsum(open_now)))

    def back_from(self, job: int) -> Iterator[Cause]:
        """From the last job back to the first; each held job gives its reason, then the job that it waited for."""
        seen: set[int] = set()
        while job not in seen:
            seen.add(job)
            ready_at, kind, link = self._ready(job)
            placed = self.placed[job]
            if job not in self.pinned and placed.starts_at - ready_at >= HELD_FROM_QUARTERS:
                yield self._held(placed, ready_at)
            if link is not None:
                bare = self.placed[link.before].ends_at
                if ready_at - bare >= HELD_FROM_QUARTERS:
                    yield Cause(job, "wait", bare, ready_at, self._days(bare, ready_at), self._wait_words(link))
                job = link.before
            elif job not in self.pinned:
                yield Cause(job, kind, ready_at, ready_at, 0)

    def _ready(self, job: int) -> tuple[int, Kind, Link | None]:
        """The first position at which the job could start by its links and dates, and which of them is the last."""
        row = self.problem.jobs[job]
        found: tuple[int, Kind, Link | None] = (self.problem.now, "now", None)
        if row.not_before is not None:
            at = self.timeline.first_at_or_after(row.not_before)
            if at > found[0]:
                found = (at, "dates", None)
        for link in self.before.get(job, ()):
            if link.before in self.placed and link.min_wait is not None:
                at = self._after_link(link)
                if at >= found[0]:
                    found = (at, "wait", link)
        return found

    def _after_link(self, link: Link) -> int:
        ends = self.placed[link.before].ends_at
        allowance = self.problem.jobs[link.before].allowance_quarters
        if allowance:
            ends = int(np.searchsorted(self.worked, self.worked[min(ends, self.booked.size)] + allowance))
        if ends >= self.booked.size or not link.min_wait:
            return min(ends, self.booked.size)
        return self.timeline.first_at_or_after(self.timeline.end_minute(ends) + link.min_wait)

    def _wait_words(self, link: Link) -> str:
        """The link's own reason; "weather" where the weather allowance is all of the wait."""
        return link.reason if link.min_wait or not self.problem.jobs[link.before].allowance_quarters else "weather"

    def _days(self, one: int, two: int) -> int:
        return max(0, two // self.booked.per_day - one // self.booked.per_day)

    def _held(self, placed: Placement, ready_at: int) -> Cause:
        """What held it for the longer part: a family up to its first free start, or nothing from there on."""
        held = HeldJob(self.booked, placed, ready_at)
        allowed = held.families()
        free = np.logical_and.reduce(list(allowed.values()))
        could = ready_at + int(free.argmax()) if free.any() else placed.starts_at
        if could - ready_at < placed.starts_at - could:
            days = self._days(ready_at, placed.starts_at)
            follower = self._follower(placed, could)
            if follower:
                return Cause(placed.job, "follows", ready_at, placed.starts_at, days, follower)
            return Cause(placed.job, "room", ready_at, placed.starts_at, days, "", could)
        days = self._days(ready_at, could)
        first = soonest({family: mask[: could - ready_at] for family, mask in allowed.items()})
        if first is None:
            return Cause(placed.job, "crowded", ready_at, could, days, held.words("people"))
        at, family = first
        return Cause(placed.job, family, ready_at, could, days, held.words(family), ready_at + at)

    def _follower(self, placed: Placement, could: int) -> str:
        """The job that must follow soon, if it would come too late after a start at `could`; else ""."""
        ends = min(could + placed.ends_at - placed.starts_at, self.booked.size)
        for link in self.after.get(placed.job, ()):
            if link.max_wait is not None and link.after in self.placed:
                follows = self.timeline.minute_at(self.placed[link.after].starts_at)
                if follows - self.timeline.end_minute(ends) > link.max_wait:
                    return self.problem.jobs[link.after].name
        return ""
