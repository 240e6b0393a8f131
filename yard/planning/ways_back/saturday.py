"""A day more in the calendar: one on which nobody works now, with the hours of the working day before it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from yard.planning.plan import Placement, Plan
from yard.planning.problem import QUARTER_MIN, Calendar, Minutes, Pin, Problem
from yard.planning.ways_back.way import day_words
from yard.speech import _

DAY_MIN = 24 * 60


@dataclass(frozen=True, slots=True)
class Extra:
    """after: the axis day before it.  name: what a yard calls it."""

    problem: Problem
    after: int
    name: str

    def insert(self, plan: Plan) -> tuple[Problem, Plan]:
        """The Problem with the day, and the same plan on it: nobody moves, later positions count one day more."""
        problem, per_day, edge = self.problem, self.problem.calendar.quarters_per_day, self.after + 1

        def start(position: int) -> int:
            return position + per_day if position >= edge * per_day else position

        def end(position: int) -> int:
            return start(position - 1) + 1

        def day(number: int) -> int:
            return number + 1 if number >= edge else number

        wider = replace(
            problem,
            calendar=self._calendar(),
            people=tuple(replace(person, hours=self._hours(person.hours)) for person in problem.people),
            orders=tuple(
                replace(
                    order,
                    due_day=day(order.due_day),
                    began_day=None if order.began_day is None else day(order.began_day),
                )
                for order in problem.orders
            ),
            pins=tuple(_moved(pin, start(pin.starts_at), end(pin.ends_at)) for pin in problem.pins),
            now=start(problem.now),
        )
        rows = tuple(_at(row, start(row.starts_at), end(row.ends_at)) for row in plan.placements)
        return wider, replace(plan, placements=rows)

    def _calendar(self) -> Calendar:
        calendar = self.problem.calendar
        edge = self.after + 1

        starts, names, weeks = list(calendar.day_starts), list(calendar.day_names), list(calendar.weeks)
        starts.insert(edge, starts[self.after] + DAY_MIN)
        if names:
            names.insert(edge, (date.fromisoformat(names[self.after]) + timedelta(days=1)).isoformat())
        if weeks:
            weeks.insert(edge, weeks[self.after])
        return replace(calendar, day_starts=tuple(starts), day_names=tuple(names), weeks=tuple(weeks))

    def _hours(self, hours: tuple[Minutes, ...]) -> tuple[Minutes, ...]:
        calendar = self.problem.calendar
        starts = calendar.day_starts[self.after]
        ends = starts + calendar.quarters_per_day * QUARTER_MIN
        more = tuple((a + DAY_MIN, b + DAY_MIN) for a, b in hours if starts <= a and b <= ends)
        return tuple(sorted((*hours, *more)))


def extra_days(problem: Problem) -> Iterator[Extra]:
    """Each first day after a working day on which nobody works."""
    starts = problem.calendar.day_starts
    names = problem.calendar.day_names
    for day in range(len(starts) - 1):
        if starts[day + 1] - starts[day] >= 2 * DAY_MIN:
            if names:
                name = day_words(date.fromisoformat(names[day]) + timedelta(days=1))
            else:
                name = _("the day after day {day}").format(day=day)
            yield Extra(problem, day, name)


def _moved(pin: Pin, starts_at: int, ends_at: int) -> Pin:
    return replace(pin, starts_at=starts_at, ends_at=ends_at)


def _at(row: Placement, starts_at: int, ends_at: int) -> Placement:
    return replace(row, starts_at=starts_at, ends_at=ends_at)
