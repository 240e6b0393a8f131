"""How far the numbers of a Problem may reach: far beyond any yard, and so that tables of them fit into a machine.

A slip in a file, as a capacity of a billion, is said in a sentence instead of filling the memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from yard.speech import _, gettext_noop

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
        yield _("the calendar has {days} days; at most {most}").format(days=problem.calendar.days, most=MOST_DAYS)
        return
    starts = [(start, start) for start in problem.calendar.day_starts]
    yield from _minutes(gettext_noop("the calendar"), starts)
    yield from _minutes(gettext_noop("the forecast's end"), [(problem.forecast_until, problem.forecast_until)])
    yield from _most(gettext_noop("a rate of cost"), (problem.rates.late_day, problem.rates.flow_day), MOST_WEIGHT)
    for order in problem.orders:
        yield from _most(
            gettext_noop("how much order '{order}' goes first"), (order.goes_first,), MOST_WEIGHT, order=order.key
        )
        yield from _most(
            gettext_noop("a day of order '{order}'"),
            (order.due_day, order.began_day or 0),
            MOST_DAYS_AWAY,
            order=order.key,
        )
    yield from _people(problem)
    yield from _places(problem)
    for windows in problem.window_sets:
        yield from _minutes(gettext_noop("windows '{windows}'"), windows.intervals, windows=windows.key)
    for job in problem.jobs:
        yield from _job(job)
    for link in problem.links:
        waits = (link.min_wait or 0, link.max_wait or 0)
        yield from _most(
            gettext_noop("the wait of jobs {before} and {after}, in minutes,"),
            waits,
            MOST_MINUTES,
            before=link.before,
            after=link.after,
        )


def _people(problem: Problem) -> Said:
    for person in problem.people:
        yield from _minutes(gettext_noop("hours of {person}"), (*person.hours, *person.away), person=person.name)
        yield from _most(gettext_noop("a level of {person}"), person.skills.values(), MOST_WEIGHT, person=person.name)
        if slide := person.slide:
            far = (slide.early_min, slide.late_min, slide.span_min, slide.days_per_week)
            yield from _most(gettext_noop("the slide of {person}"), far, MOST_QUARTERS, person=person.name)


def _places(problem: Problem) -> Said:
    for place in problem.places:
        yield from _most(gettext_noop("the capacity of {place}"), (place.capacity,), MOST_UNITS, place=place.name)
        yield from _minutes(gettext_noop("closed times of {place}"), place.closed, place=place.name)
        yield from _most(
            gettext_noop("a charge of {place}"),
            (row.quarters for row in place.charges),
            MOST_QUARTERS,
            place=place.name,
        )


def _job(job: Job) -> Said:
    limits = (job.not_before or 0, job.not_after or 0)
    yield from _minutes(gettext_noop("job '{job}'"), [limits], job=job.key)
    yield from _most(
        gettext_noop("the allowance of job '{job}'"), (job.allowance_quarters,), MOST_QUARTERS, job=job.key
    )
    yield from _most(gettext_noop("the number of ways of job '{job}'"), (len(job.ways),), MOST_WAYS, job=job.key)
    for way in job.ways:
        quarters = [way.duration_quarters, way.place_extra_quarters]
        for inside in way.inside:
            quarters += [inside.offset_quarters, inside.length_quarters or 0]
        yield from _most(gettext_noop("the quarters of job '{job}'"), quarters, MOST_QUARTERS, job=job.key)
        yield from _most(
            gettext_noop("the crew of job '{job}'"), (sum(crew.count for crew in way.crew),), MOST_PEOPLE, job=job.key
        )
        yield from _most(
            gettext_noop("a level asked for by job '{job}'"),
            (crew.level for crew in way.crew),
            MOST_WEIGHT,
            job=job.key,
        )
        yield from _most(
            gettext_noop("the units that job '{job}' asks for"),
            (need.units for need in way.places),
            MOST_UNITS,
            job=job.key,
        )
        for needs in (way.crew, way.places, way.inside):
            yield from _most(gettext_noop("the number of needs of job '{job}'"), (len(needs),), MOST_NEEDS, job=job.key)


def _minutes(what: str, intervals: Iterable[Minutes], **names: str | int) -> tuple[str, ...]:
    wrong = next((minute for both in intervals for minute in both if abs(minute) > MOST_MINUTES), None)
    if wrong is None:
        return ()
    told = _("{what}: minute {wrong} lies more than {most} minutes from the epoch; look at the epoch")
    return (told.format(what=_(what).format(**names), wrong=_short(wrong), most=MOST_MINUTES),)


def _most(what: str, numbers: Iterable[int], most: int, **names: str | int) -> tuple[str, ...]:
    """what: said with the names only where a number is too large, as this is asked of every job of every try."""
    for number in numbers:
        if abs(number) > most:
            told = _("{what} is {wrong}; at most {most}")
            return (told.format(what=_(what).format(**names), wrong=_short(number), most=most),)
    return ()


def _short(number: int) -> str:
    text = str(number)
    return text if len(text) < 24 else _("{start}... of {n} digits").format(start=text[:12], n=len(text))
