"""One try: her jobs put in again with a change, and what she gains by it.

Hands, dates and other boats are tried on the season as it stands (`standing`), in milliseconds.  Longer hours and a day
more change what time there is, so they are planned on a small Problem in which everybody else is pinned (`freed`); so
is everything where the season cannot be had as it stands.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from yard.planning.fit import last_days
from yard.planning.freed import Freed
from yard.planning.listed import listed
from yard.planning.plan import LeftOut, Placement, Plan
from yard.planning.problem import QUARTER_MIN, Problem
from yard.planning.units import CannotExpress
from yard.planning.ways_back.standing import Skill, Standing, hours_of, spare_person
from yard.planning.ways_back.way import date_words
from yard.speech import _


class TimeOver(Exception):
    """No time for another try."""


@dataclass(frozen=True)
class Tried:
    """last: by order, the day of its last job.  rows: of the jobs put in again.  The whole is made when asked for."""

    last: dict[int, int]
    rows: tuple[Placement, ...]
    make_problem: Callable[[], Problem]
    make_plan: Callable[[], Plan]

    @cached_property
    def problem(self) -> Problem:
        return self.make_problem()

    @cached_property
    def plan(self) -> Plan:
        return self.make_plan()


class Trier:
    """Her jobs put in again with a change.

    standing: the season with the plan as it stands, which many boats may share; None where it cannot be had.
    """

    def __init__(self, problem: Problem, plan: Plan, boat: int, until: float, standing: Standing | None = None) -> None:
        self.problem, self.plan, self.boat, self.until = problem, plan, boat, until
        self.standing = standing
        self.per_day = problem.calendar.quarters_per_day
        pinned = {pin.job for pin in problem.pins}
        self.mine = [number for number, job in enumerate(problem.jobs) if job.boat == boat]
        self.open = [number for number in self.mine if number not in pinned]
        self.orders = sorted({problem.jobs[number].order for number in self.mine})
        placed = plan.by_job()
        self.planned = all(number in placed for number in self.mine)
        days = problem.calendar.days
        self.last = last_days(problem, plan)
        self.before = {order: self.last.get(order, days - 1) if self.planned else days - 1 for order in self.orders}

    def days_late(self, last: dict[int, int]) -> int:
        return sum(max(0, last[order] - self.problem.orders[order].due_day) for order in self.orders)

    def attempt(self, problem: Problem, plan: Plan | None = None, also: int | None = None) -> Tried | None:
        """Her (and another boat's) open jobs put in again; None where they do not go.  Raises TimeOver."""
        self._in_time()
        freed = Freed(problem, self.plan if plan is None else plan, self._jobs(also))
        try:
            room = freed.room()
        except CannotExpress:
            return None
        if not room.insert(first=freed.at[self.open[0]]):
            return None
        whole = freed.whole_plan(room.plan())
        rows = tuple(row for row in whole.placements if row.job in set(freed.free))
        kept = replace(whole, left_out=self._others_left_out())
        return Tried(last_days(problem, whole), rows, lambda: problem, lambda: kept)

    def changed(
        self,
        *,
        hands: tuple[Skill, Collection[int]] | None = None,
        dates: Mapping[int, int | None] | None = None,
        also: int | None = None,
    ) -> Tried | None:
        """The same with a change that the season as it stands can take: one more on some days, other dates."""
        if self.standing is None:
            return self.attempt(self._changed_problem(hands, dates or {}), also=also)
        self._in_time()
        standing = self.standing
        put = standing.put_in(self._jobs(also), first=self.boat, hands=hands, dates=dates)
        if put is None:
            return None
        last = {order: day for order, day in self.last.items() if order not in self._orders_of(also)}
        for row in (*self._pinned_rows(also), *put.rows):
            order = self.problem.jobs[row.job].order
            last[order] = max(last.get(order, -1), (row.ends_at - 1) // self.per_day)
        return Tried(
            last,
            put.rows,
            lambda: self._changed_problem(hands, dates or {}),
            lambda: replace(standing.whole_plan(put), left_out=self._others_left_out()),
        )

    def _in_time(self) -> None:
        if time.monotonic() >= self.until:
            raise TimeOver

    def _jobs(self, also: int | None) -> set[int]:
        return set(self.open) | {number for number, job in enumerate(self.problem.jobs) if job.boat == also}

    def _orders_of(self, also: int | None) -> set[int]:
        return {job.order for job in self.problem.jobs if job.boat in (self.boat, also)}

    def _pinned_rows(self, also: int | None) -> list[Placement]:
        """What is planned of these orders and is not put in again."""
        orders, out = self._orders_of(also), self._jobs(also) - {pin.job for pin in self.problem.pins}
        return [
            row for row in self.plan.placements if row.job not in out and self.problem.jobs[row.job].order in orders
        ]

    def _others_left_out(self) -> tuple[LeftOut, ...]:
        return tuple(row for row in self.plan.left_out if row.boat != self.boat)

    def _changed_problem(self, hands: tuple[Skill, Collection[int]] | None, dates: Mapping[int, int | None]) -> Problem:
        problem = self.problem
        if hands is not None:
            (skill, level), days = hands
            wanted = set(days)
            spans = tuple(span for span in hours_of(problem, skill, level) if self.day(span[0]) in wanted)
            problem = replace(problem, people=(*problem.people, spare_person(problem, {skill: level}, spans)))
        if dates:
            jobs = (replace(job, not_before=dates[n]) if n in dates else job for n, job in enumerate(problem.jobs))
            problem = replace(problem, jobs=tuple(jobs))
        return problem

    def gain(self, tried: Tried | None, last: dict[int, int] | None = None) -> int:
        before = self.before if last is None else last
        return 0 if tried is None else self.days_late(before) - self.days_late(tried.last)

    def on_time(self, tried: Tried) -> bool:
        return self.days_late(tried.last) == 0

    def minute(self, position: int) -> int:
        day, quarter = divmod(position, self.per_day)
        starts = self.problem.calendar.day_starts
        return starts[-1] + self.per_day * QUARTER_MIN if day >= len(starts) else starts[day] + QUARTER_MIN * quarter

    def day(self, minute: int) -> int:
        """The axis day of a minute (that contains it, else the next)."""
        length = self.per_day * QUARTER_MIN
        starts = self.problem.calendar.day_starts
        return next((day for day, start in enumerate(starts) if minute < start + length), len(starts) - 1)

    def named(self, day: int) -> str:
        names = self.problem.calendar.day_names
        return date_words(names[day]) if names else _("day {day}").format(day=day)

    def listed(self, days: tuple[int, ...]) -> str:
        if len(days) <= 3:
            return listed(self.named(day) for day in days)
        return _("{n} days from {first} to {last}").format(
            n=len(days), first=self.named(days[0]), last=self.named(days[-1])
        )
