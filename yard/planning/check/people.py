"""Checks of people: hours, slides, double_booking, crew, alone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field

from yard.planning.check.breach import Breach
from yard.planning.check.case import MINUTES, Case, Entry
from yard.planning.problem import Slide
from yard.speech import _


def hours(case: Case) -> Iterator[Breach]:
    """People work inside their own hours, away from breaks, leave and holidays."""
    for entry in case.entries.values():
        if entry.pinned or entry.job.pausing == "elapsed":
            continue
        for person in sorted(set(entry.placement.people)):
            name = case.problem.people[person].name
            if _away_at_work(case, entry, person):
                yield case.breach(
                    "hours", entry.index, _("{name} is away").format(name=name), _when(case, entry, person)
                )
            if entry.job.pausing == "fitted" and not _hours_allow(case, entry, person):
                message = _("{name} works outside normal hours or in a break").format(name=name)
                yield case.breach("hours", entry.index, message, _when(case, entry, person))


def _when(case: Case, entry: Entry, person: int) -> dict[str, int | str]:
    return {"person": person, "starts_minute": case.minute(entry.starts_at), "ends_minute": case.bare_end(entry)}


def _away_at_work(case: Case, entry: Entry, person: int) -> bool:
    span = slice(entry.starts_at, entry.ends_at)
    away = case.away(person)[span]
    if entry.job.pausing == "fitted":
        return 1 in away
    counted = case.counted(entry.placement.people)[span]
    return any(one and two for one, two in zip(away, counted, strict=True))


def _hours_allow(case: Case, entry: Entry, person: int) -> bool:
    """Whether each quarter lies inside normal hours, or outside them where the day may slide at all."""
    normal = case.normal(person)
    if 0 not in normal[entry.starts_at : entry.ends_at]:
        return True
    if not entry.way.slides or case.problem.people[person].slide is None:
        return False
    for position in range(entry.starts_at, entry.ends_at):
        if normal[position]:
            continue
        day = case.day_of(position)
        span = case.day_hours(person, day)
        if span is None or not case.works_on(person, day):
            return False
        minute = case.minute(position)
        if span[0] <= minute and minute + MINUTES <= span[1]:
            return False  # a break stays a break
    return True


@dataclass(slots=True)
class _Day:
    """One person's day: booked from `first` to `last` (positions of quarters), pins alone and with all jobs."""

    first: int
    last: int
    slid: bool
    pinned_first: int | None = None
    pinned_last: int | None = None
    pinned_slid: bool = False
    jobs: list[int] = field(default_factory=list)


def slides(case: Case) -> Iterator[Breach]:
    """A day slides for a tide only so far, so long and so often a week."""
    for person, entries in case.by_person().items():
        slide = case.problem.people[person].slide
        if slide is None:
            continue
        for entry in entries:
            yield from _too_far(case, entry, person, slide)
        days = _days(case, person, entries)
        yield from _too_long(case, person, slide, days)
        yield from _too_often(case, person, slide, days)


def _too_far(case: Case, entry: Entry, person: int, slide: Slide) -> Iterator[Breach]:
    if entry.pinned or not entry.way.slides or entry.job.pausing != "fitted":
        return
    span = case.day_hours(person, case.day_of(entry.starts_at))
    if span is None:
        return  # `hours` tells
    early = span[0] - slide.early_min - case.minute(entry.starts_at)
    late = case.bare_end(entry) - (span[1] + slide.late_min)
    if early > 0 or late > 0:
        name = case.problem.people[person].name
        numbers: dict[str, int | str] = {"person": person, "too_early_min": max(0, early), "too_late_min": max(0, late)}
        yield case.breach("slides", entry.index, _("{name}'s day slides too far").format(name=name), numbers)


def _days(case: Case, person: int, entries: list[Entry]) -> dict[int, _Day]:
    days: dict[int, _Day] = {}
    for entry in entries:
        for day, first, last, slid in _booked(case, entry, person):
            row = days.setdefault(day, _Day(first, last, slid))
            row.first, row.last, row.slid = min(row.first, first), max(row.last, last), row.slid or slid
            if entry.pinned:
                row.pinned_first = first if row.pinned_first is None else min(row.pinned_first, first)
                row.pinned_last = last if row.pinned_last is None else max(row.pinned_last, last)
                row.pinned_slid = row.pinned_slid or slid
            else:
                row.jobs.append(entry.index)
    return days


def _booked(case: Case, entry: Entry, person: int) -> Iterator[tuple[int, int, int, bool]]:
    """(day, first booked quarter, last booked quarter, outside normal hours) for each day of a job."""
    if entry.job.pausing == "elapsed":
        return
    paused = entry.job.pausing == "paused"
    flags = case.counted(entry.placement.people) if paused else case.normal(person)
    position = entry.starts_at
    while position < entry.ends_at:
        stop = min(case.day_end(position), entry.ends_at)
        if not paused:
            yield case.day_of(position), position, stop - 1, 0 in flags[position:stop]
        elif 1 in flags[position:stop]:
            yield case.day_of(position), flags.index(1, position, stop), flags.rindex(1, position, stop), False
        position = stop


def _too_long(case: Case, person: int, slide: Slide, days: dict[int, _Day]) -> Iterator[Breach]:
    for day, row in days.items():
        span = case.day_hours(person, day)
        allowed = slide.span_min if span is None else span[1] - span[0]
        if row.pinned_first is not None and row.pinned_last is not None:
            allowed = max(allowed, (row.pinned_last - row.pinned_first + 1) * MINUTES)
        booked = (row.last - row.first + 1) * MINUTES
        if booked > allowed and row.jobs:
            name = case.problem.people[person].name
            numbers: dict[str, int | str] = {"person": person, "day": day, "booked_min": booked, "allowed_min": allowed}
            yield case.breach("slides", row.jobs[0], _("{name}'s day is too long").format(name=name), numbers)


def _too_often(case: Case, person: int, slide: Slide, days: dict[int, _Day]) -> Iterator[Breach]:
    weeks: dict[int, list[_Day]] = defaultdict(list)
    for day, row in sorted(days.items()):
        if row.slid:
            weeks[case.problem.calendar.weeks[day] if case.problem.calendar.weeks else 0].append(row)
    for week, rows in weeks.items():
        allowed = max(slide.days_per_week, sum(row.pinned_slid for row in rows))
        jobs = [job for row in rows for job in row.jobs]
        if len(rows) > allowed and jobs:
            name = case.problem.people[person].name
            numbers: dict[str, int | str] = {"person": person, "week": week, "days": len(rows), "allowed": allowed}
            yield case.breach(
                "slides", jobs[-1], _("{name} has {n} slid days in a week").format(name=name, n=len(rows)), numbers
            )


def double_booking(case: Case) -> Iterator[Breach]:
    """Nobody is in two places at once."""
    for person, entries in case.by_person().items():
        entries.sort(key=lambda entry: (entry.starts_at, entry.ends_at, entry.index))
        busy = entries[0]
        for entry in entries[1:]:
            if entry.starts_at < busy.ends_at:
                name = case.problem.people[person].name
                message = _("{name} is at {job} at the same time").format(name=name, job=case.title(busy.index))
                numbers: dict[str, int | str] = {
                    "person": person,
                    "other_job": busy.index,
                    "starts_minute": case.minute(entry.starts_at),
                }
                both = entry.pinned and busy.pinned
                yield case.breach("double_booking", entry.index, message, numbers, pins_alone=both)
            if entry.ends_at > busy.ends_at:
                busy = entry


def crew(case: Case) -> Iterator[Breach]:
    """A job has the people it asks for, in order, each with the skill at its level. Pins tell who it was."""
    for entry in case.entries.values():
        people = entry.placement.people
        if len(set(people)) < len(people):
            yield case.breach("crew", entry.index, _("names somebody twice"), pins_alone=entry.pinned)
        if entry.pinned:
            continue
        wanted = [need for need in entry.way.crew for _count in range(need.count)]
        if len(wanted) != len(people):
            message = _("has {n} people and needs {needed}").format(n=len(people), needed=len(wanted))
            yield case.breach("crew", entry.index, message, {"people": len(people), "needed": len(wanted)})
        for person, need in zip(people, wanted, strict=False):
            row = case.problem.people[person]
            if row.skills.get(need.skill, 0) < need.level:
                numbers: dict[str, int | str] = {"person": person, "skill": need.skill, "level": need.level}
                yield case.breach(
                    "crew",
                    entry.index,
                    _("{name} has not the skill {skill}").format(name=row.name, skill=need.skill),
                    numbers,
                )


def alone(case: Case) -> Iterator[Breach]:
    """Nobody does alone what must not be done alone: pinned or not."""
    for entry in case.entries.values():
        count = len(set(entry.placement.people))
        if entry.job.not_alone and count < 2:
            message = _("nobody does this alone")
            yield case.breach("alone", entry.index, message, {"people": count}, pins_alone=entry.pinned)
