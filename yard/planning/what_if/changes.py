"""The changes that a season may be copied with, and the copies."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import replace

import msgspec

from yard.planning.problem import QUARTER_MIN, Minutes, Order, Person, Problem
from yard.speech import _

DAY_MIN = 24 * 60


class ChangeImpossible(ValueError):
    """The change makes no season, or no other one; the text says why."""


class OneMorePerson(msgspec.Struct, frozen=True, kw_only=True, tag="person"):
    """Somebody more with these skills (level by skill), on the axis days [first_day, until_day).

    The hours are those of whoever has the first of the skills and the most hours, leave left out.
    """

    skills: dict[str, int]
    first_day: int
    until_day: int


class PlaceClosed(msgspec.Struct, frozen=True, kw_only=True, tag="place"):
    """A place, by key, shut on the axis days [first_day, until_day)."""

    place: str
    first_day: int
    until_day: int


class DatesMoved(msgspec.Struct, frozen=True, kw_only=True, tag="dates"):
    """All orders that have a date want it so many weeks later (below 0: earlier)."""

    weeks: int


class LongerHours(msgspec.Struct, frozen=True, kw_only=True, tag="hours"):
    """Everybody at work stays so many minutes longer, or comes earlier, on the axis days [first_day, until_day)."""

    before_min: int = 0
    after_min: int = 0
    first_day: int
    until_day: int


Change = OneMorePerson | PlaceClosed | DatesMoved | LongerHours


def changed(problem: Problem, change: Change) -> Problem:
    """The copy.  Raises ChangeImpossible."""
    match change:
        case OneMorePerson():
            return _one_more(problem, change)
        case PlaceClosed():
            return _closed(problem, change)
        case DatesMoved(weeks=weeks):
            return _moved(problem, weeks)
        case LongerHours():
            return _longer(problem, change)


def _days(problem: Problem, first_day: int, until_day: int) -> tuple[int, int]:
    """The clock minutes of [first_day, until_day), from now on."""
    calendar = problem.calendar
    first, until = max(0, first_day), min(calendar.days, until_day)
    if first >= until or until * calendar.quarters_per_day <= problem.now:
        raise ChangeImpossible(_("Nobody works on those days in this season, or they are over: choose later ones."))
    return calendar.day_starts[first], calendar.day_starts[until - 1] + calendar.quarters_per_day * QUARTER_MIN


def _one_more(problem: Problem, change: OneMorePerson) -> Problem:
    starts, ends = _days(problem, change.first_day, change.until_day)
    if not change.skills:
        raise ChangeImpossible(_("Choose at least one skill that the new person has."))
    main = next(iter(change.skills))
    able = [person for person in problem.people if person.skills.get(main)]
    like = max(able or problem.people, key=lambda person: sum(b - a for a, b in person.hours), default=None)
    if like is None:
        raise ChangeImpossible(_("Nobody works in this yard yet, so there are no hours to copy: enter people first."))
    hours = tuple((a, b) for a, b in like.hours if starts <= a and b <= ends)
    if not hours:
        raise ChangeImpossible(
            _("{person}, whose hours were to be copied, does not work on those days.").format(person=like.name)
        )
    more = Person(key="one more", name=_("one more"), skills=change.skills, hours=hours)
    return replace(problem, people=(*problem.people, more))


def _closed(problem: Problem, change: PlaceClosed) -> Problem:
    starts, ends = _days(problem, change.first_day, change.until_day)
    index = next((n for n, place in enumerate(problem.places) if place.key == change.place), None)
    if index is None:
        raise ChangeImpossible(_("There is no such place in this season."))
    first, until = (
        change.first_day * problem.calendar.quarters_per_day,
        change.until_day * problem.calendar.quarters_per_day,
    )
    for pin in problem.pins:
        if pin.starts_at < until and pin.ends_at > first and any(place == index for place, _unit in pin.places):
            raise ChangeImpossible(
                _("{job} is under way or pinned at {place} then: it stays.").format(
                    job=problem.jobs[pin.job].name, place=problem.places[index].name
                )
            )
    place = problem.places[index]
    shut = _union((*place.closed, (starts, ends)))
    places = (replace(row, closed=shut) if n == index else row for n, row in enumerate(problem.places))
    return replace(problem, places=tuple(places))


def _moved(problem: Problem, weeks: int) -> Problem:
    if not weeks:
        raise ChangeImpossible(_("Choose by how many weeks the dates move."))
    last = problem.calendar.days - 1

    def order(row: Order) -> Order:
        if not 0 <= row.due_day < last:
            return row  # no date, or one that is over already
        minute = problem.calendar.day_starts[row.due_day] + weeks * 7 * DAY_MIN
        return replace(row, due_day=min(last, bisect_right(problem.calendar.day_starts, minute) - 1))

    orders = tuple(order(row) for row in problem.orders)
    if orders == problem.orders:
        raise ChangeImpossible(_("No order has a date that could move."))
    return replace(problem, orders=orders)


def _longer(problem: Problem, change: LongerHours) -> Problem:
    starts, ends = _days(problem, change.first_day, change.until_day)
    calendar = problem.calendar
    length = calendar.quarters_per_day * QUARTER_MIN
    if change.before_min < 0 or change.after_min < 0 or change.before_min + change.after_min == 0:
        raise ChangeImpossible(_("Say how much longer the days are."))
    people = []
    for person in problem.people:
        more: list[Minutes] = []
        for day_start in calendar.day_starts:
            if not starts <= day_start < ends:
                continue
            own = [span for span in person.hours if day_start <= span[0] and span[1] <= day_start + length]
            if own:
                opens, closes = own[0][0], own[-1][1]
                more.append((max(day_start, opens - change.before_min), opens))
                more.append((closes, min(day_start + length, closes + change.after_min)))
        people.append(replace(person, hours=_union((*person.hours, *(span for span in more if span[0] < span[1])))))
    if tuple(people) == problem.people:
        raise ChangeImpossible(_("Nobody's day can be longer then: the yard's longest day is used already."))
    return replace(problem, people=tuple(people))


def _union(spans: tuple[Minutes, ...]) -> tuple[Minutes, ...]:
    kept: list[Minutes] = []
    for starts, ends in sorted(spans):
        if kept and starts <= kept[-1][1]:
            kept[-1] = (kept[-1][0], max(ends, kept[-1][1]))
        else:
            kept.append((starts, ends))
    return tuple(kept)
