"""How far the numbers of a Problem may reach: far beyond any yard, and so that tables of them fit into a machine.

A slip in a file, as a capacity of a billion, is said in a sentence instead of filling the memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from yard.planning.problem import Job, Minutes, Problem

MOST_DAYS = 8_000
MOST_MINUTES = 10_000_000_000
"""Clock minutes before or after the epoch: no date that can be written lies beyond."""
MOST_DAYS_AWAY = 10_000_000
"""Days before or after the calendar: the same in days."""
MOST_QUARTERS = 100_000
"""Of one job, allowance or charge: three years by the clock."""
MOST_UNITS = 1_000
MOST_PEOPLE = 62
"""Of one crew: one word of the engine."""
MOST_NEEDS = 40
"""Kinds of people, places, or windows of one way of doing a job."""
MOST_WAYS = 200
MOST_WEIGHT = 1_000_000
"""Of what goes first, of a rate, of a level."""

Said = Iterator[str]


def reach_faults(problem: Problem) -> Said:
    """A sentence for each number, or count, beyond what is let in."""
    if problem.calendar.days > MOST_DAYS:
        yield f"the calendar has {problem.calendar.days} days; at most {MOST_DAYS}"
        return
    starts = [(start, start) for start in problem.calendar.day_starts]
    yield from _minutes("the calendar", starts)
    yield from _minutes("the forecast's end", [(problem.forecast_until, problem.forecast_until)])
    yield from _most("a rate of cost", (problem.rates.late_day, problem.rates.flow_day), MOST_WEIGHT)
    for order in problem.orders:
        yield from _most(f"how much order '{order.key}' goes first", (order.goes_first,), MOST_WEIGHT)
        yield from _most(f"a day of order '{order.key}'", (order.due_day, order.began_day or 0), MOST_DAYS_AWAY)
    yield from _people(problem)
    yield from _places(problem)
    for windows in problem.window_sets:
        yield from _minutes(f"windows '{windows.key}'", windows.intervals)
    for job in problem.jobs:
        yield from _job(job)
    for link in problem.links:
        waits = (link.min_wait or 0, link.max_wait or 0)
        yield from _most(f"the wait of jobs {link.before} and {link.after}, in minutes,", waits, MOST_MINUTES)


def _people(problem: Problem) -> Said:
    for person in problem.people:
        yield from _minutes(f"hours of {person.name}", (*person.hours, *person.away))
        yield from _most(f"a level of {person.name}", person.skills.values(), MOST_WEIGHT)
        if slide := person.slide:
            far = (slide.early_min, slide.late_min, slide.span_min, slide.days_per_week)
            yield from _most(f"the slide of {person.name}", far, MOST_QUARTERS)


def _places(problem: Problem) -> Said:
    for place in problem.places:
        yield from _most(f"the capacity of {place.name}", (place.capacity,), MOST_UNITS)
        yield from _minutes(f"closed times of {place.name}", place.closed)
        yield from _most(f"a charge of {place.name}", (row.quarters for row in place.charges), MOST_QUARTERS)


def _job(job: Job) -> Said:
    name = f"job '{job.key}'"
    limits = (job.not_before or 0, job.not_after or 0)
    yield from _minutes(name, [limits])
    yield from _most(f"the allowance of {name}", (job.allowance_quarters,), MOST_QUARTERS)
    yield from _most(f"the number of ways of {name}", (len(job.ways),), MOST_WAYS)
    for way in job.ways:
        quarters = [way.duration_quarters, way.place_extra_quarters]
        for inside in way.inside:
            quarters += [inside.offset_quarters, inside.length_quarters or 0]
        yield from _most(f"the quarters of {name}", quarters, MOST_QUARTERS)
        yield from _most(f"the crew of {name}", (sum(crew.count for crew in way.crew),), MOST_PEOPLE)
        yield from _most(f"a level asked for by {name}", (crew.level for crew in way.crew), MOST_WEIGHT)
        yield from _most(f"the units that {name} asks for", (need.units for need in way.places), MOST_UNITS)
        for needs in (way.crew, way.places, way.inside):
            yield from _most(f"the number of needs of {name}", (len(needs),), MOST_NEEDS)


def _minutes(what: str, intervals: Iterable[Minutes]) -> Said:
    wrong = next((minute for both in intervals for minute in both if abs(minute) > MOST_MINUTES), None)
    if wrong is not None:
        yield f"{what}: minute {_short(wrong)} lies more than {MOST_MINUTES} minutes from the epoch; look at the epoch"


def _most(what: str, numbers: Iterable[int], most: int) -> Said:
    wrong = next((number for number in numbers if abs(number) > most), None)
    if wrong is not None:
        yield f"{what} is {_short(wrong)}; at most {most}"


def _short(number: int) -> str:
    text = str(number)
    return text if len(text) < 24 else f"{text[:12]}... of {len(text)} digits"
