"""How much of their hours people are booked, by week."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

from yard.planning.plan import Plan
from yard.planning.problem import QUARTER_MIN, Minutes, Problem
from yard.planning.timeline import Timeline


@dataclass(frozen=True, slots=True)
class PersonWeek:
    """A person's week from `monday` on, counted from the Problem's now. available_min: normal hours less leave."""

    person: int
    monday: date
    planned_min: int
    available_min: int


def person_weeks(problem: Problem, plan: Plan) -> tuple[PersonWeek, ...]:
    """Booked and available minutes of everybody, for each week of the axis; bench work counts inside their hours."""
    timeline = Timeline(problem.calendar)
    per_day = problem.calendar.quarters_per_day
    mondays = [day - timedelta(days=day.weekday()) for day in map(date.fromisoformat, problem.calendar.day_names)]
    there = [_positions(timeline, person.hours) - _positions(timeline, person.away) for person in problem.people]
    booked: list[set[int]] = [set() for _ in problem.people]
    for placed in plan.placements:
        span = range(placed.starts_at, placed.ends_at)
        for person in placed.people:
            paused = problem.jobs[placed.job].pausing == "paused"
            booked[person].update(there[person].intersection(span) if paused else span)
    found: dict[tuple[int, date], list[int]] = defaultdict(lambda: [0, 0])
    for person in range(len(problem.people)):
        for kind, positions in enumerate((booked[person], there[person])):
            for position in positions:
                if position >= problem.now:
                    found[person, mondays[position // per_day]][kind] += QUARTER_MIN
    return tuple(PersonWeek(person, monday, *minutes) for (person, monday), minutes in sorted(found.items()))


def _positions(timeline: Timeline, intervals: tuple[Minutes, ...]) -> set[int]:
    """The quarters that lie wholly inside."""
    found: set[int] = set()
    for starts, ends in intervals:
        last = timeline.last_at_or_before(ends - QUARTER_MIN)
        found.update(range(timeline.first_at_or_after(starts), last + 1))
    return found
