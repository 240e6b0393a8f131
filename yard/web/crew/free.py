"""Who is free: now, this afternoon, and in the days to come, from the posted plan and everybody's hours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import OwnersRun, Person, PlannedJob
from yard.pictures.shapes import Span
from yard.queries.crew import CrewRows
from yard.web.crew.crew_list import rows_by_person
from yard.web.crew.load import day_of, hours_text, job_at, still_to_do
from yard.web.crew.words import job_named, skills_in_words
from yard.web.days.hours import end_clock, in_words, length_min, span_on, without
from yard.web.units import local

DAYS_AHEAD = 7
NOON_MIN = 12 * 60
LEAST_MIN = 30
"""A shorter gap between two jobs is not worth a question."""


@dataclass(frozen=True)
class FreePerson:
    """words: until when, or in which hours. busy: what the person does instead, "" for who is free."""

    person: Person
    skills: str
    words: str
    busy: str = ""


@dataclass(frozen=True)
class FreeRow:
    """One person over the days to come: what is free on each of them, a phrase a gap."""

    person: Person
    skills: str
    days: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class WhoIsFree:
    """now: who is here without a job, None on another day than today; busy: who has one; afternoon: who has time."""

    now: tuple[FreePerson, ...] | None
    busy: tuple[FreePerson, ...]
    afternoon: tuple[FreePerson, ...]
    days: tuple[date, ...]
    rows: tuple[FreeRow, ...]


@dataclass(frozen=True)
class _Mine:
    """A person with what the plan still gives them, and the owners' runs that they are out with."""

    person: Person
    skills: str
    rows: list[PlannedJob]
    runs: tuple[OwnersRun, ...]


def who_is_free(told: CrewRows, day: date, *, now: datetime, runs: Sequence[OwnersRun] = ()) -> WhoIsFree:
    """From the day on. Hours that have gone by are not free any more. runs: with owners, on these days."""
    planned = rows_by_person(told)
    out = {p.pk: tuple(run for run in runs if any(each.pk == p.pk for each in run.people.all())) for p in told.people}
    everybody = [_Mine(p, skills_in_words(p), still_to_do(planned[p.pk]), out[p.pk]) for p in told.people]
    days = tuple(day + timedelta(days=n) for n in range(DAYS_AHEAD))
    is_today = day == local(now).date()
    current = [_at_now(mine, told, now) for mine in everybody] if is_today else []
    found = [each for each in current if each is not None]
    return WhoIsFree(
        now=tuple(each for each in found if not each.busy) if is_today else None,
        busy=tuple(each for each in found if each.busy),
        afternoon=tuple(each for mine in everybody if (each := _afternoon(mine, told, day, now)) is not None),
        days=days,
        rows=tuple(
            FreeRow(mine.person, mine.skills, tuple(_day_words(mine, told, each, now) for each in days))
            for mine in everybody
        ),
    )


def _at_now(mine: _Mine, told: CrewRows, now: datetime) -> FreePerson | None:
    """None for who is not here."""
    today, minute = local(now).date(), local(now).hour * 60 + local(now).minute
    shown = day_of(mine.person, today, mine.rows, told.holidays)
    job = job_at(mine.rows, now, shown.here)
    if job is not None:
        until = local(job.ends_at)
        words = _until(said(until, "H:i" if until.date() == today else "D j M"))
        return FreePerson(mine.person, mine.skills, words, job_named(job))
    run = next((each for each in mine.runs if each.leaves_at <= now < each.back_at), None)
    if run is not None:
        out = _("out with owners, {place}").format(place=run.place)
        return FreePerson(mine.person, mine.skills, _until(said(local(run.back_at), "H:i")), out)
    gap = next(
        (span for span in without(shown.free, _out(mine, today)) if span.starts_min <= minute < span.ends_min), None
    )
    return None if gap is None else FreePerson(mine.person, mine.skills, _until(end_clock(gap)))


def _until(end: str) -> str:
    return _("until {time}").format(time=end)


def _afternoon(mine: _Mine, told: CrewRows, day: date, now: datetime) -> FreePerson | None:
    free = _worth_saying(without(_free(mine, told, day, now), [Span(0, NOON_MIN)]))
    return FreePerson(mine.person, mine.skills, in_words(free)) if free else None


def _day_words(mine: _Mine, told: CrewRows, day: date, now: datetime) -> tuple[str, ...]:
    shown = day_of(mine.person, day, mine.rows, told.holidays)
    if not shown.here:
        return (shown.holiday or (_("away") if shown.away else "–"),)
    free = _worth_saying(_free(mine, told, day, now))
    if not free:
        return (_("none"),)
    if not shown.taken and length_min(free) == length_min(shown.here):
        return (_("all day, {hours}").format(hours=hours_text(length_min(free))),)
    return tuple(in_words([span]) for span in free)


def _free(mine: _Mine, told: CrewRows, day: date, now: datetime) -> list[Span]:
    """The gaps of that day which have not gone by."""
    free = day_of(mine.person, day, mine.rows, told.holidays).free
    shown = local(now)
    gone = 1440 if day < shown.date() else shown.hour * 60 + shown.minute if day == shown.date() else 0
    return without(free, [Span(0, gone), *_out(mine, day)])


def _out(mine: _Mine, day: date) -> list[Span]:
    return [span_on(run.leaves_at, run.back_at, day) for run in mine.runs]


def _worth_saying(spans: Sequence[Span]) -> list[Span]:
    return [span for span in spans if span.length_min >= LEAST_MIN]
