"""How a person's days fill: the hours there are, the hours that the plan takes, and what is left."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from yard.models import DatedHours, Pausing, Person, PlannedJob
from yard.pictures.shapes import Span
from yard.queries.crew import NOT_BUSY
from yard.web.days.hours import joined, length_min, span_on, stretches, without
from yard.web.units import at_minute, local

WEEKS_AHEAD = 8
"""How far the load of a person is shown."""


@dataclass(frozen=True)
class DayOfPerson:
    """here: when the person works; taken: what the plan takes, also outside of those hours (a slide for a tide)."""

    day: date
    here: tuple[Span, ...]
    taken: tuple[Span, ...]
    holiday: str
    away: bool

    @property
    def free(self) -> list[Span]:
        return without(self.here, self.taken)

    @property
    def slides(self) -> bool:
        """Something is planned before the day's hours begin or after they end."""
        if not self.here or not self.taken:
            return bool(self.taken)
        return self.taken[0].starts_min < self.here[0].starts_min or self.taken[-1].ends_min > self.here[-1].ends_min


@dataclass(frozen=True)
class WeekOfPerson:
    """Minutes that there are, and minutes planned, in the week that begins on a Monday; days gone by are left out."""

    monday: date
    here_min: int
    planned_min: int

    @property
    def per_cent(self) -> int | None:
        """None in a week without hours."""
        return round(100 * self.planned_min / self.here_min) if self.here_min else None


def day_of(person: Person, day: date, rows: Iterable[PlannedJob], holidays: Mapping[date, str]) -> DayOfPerson:
    """One day of a person's; rows: what the plan gives them."""
    here = stretches(person, day, holidays)
    begins, ends = at_minute(day, 0), at_minute(day, 1440)
    meeting = [row for row in rows if row.starts_at < ends and row.ends_at > begins]
    taken = [span for row in meeting for span in spans_of(row, day, here)]
    away = any(
        each.kind == DatedHours.Kind.AWAY and span_on(each.starts_at, each.ends_at, day).meets(Span(0, 1440))
        for each in person.dated_hours.all()
    )
    return DayOfPerson(day, tuple(here), tuple(joined(taken)), holidays.get(day, ""), away)


def spans_of(row: PlannedJob, day: date, here: Sequence[Span]) -> list[Span]:
    """When a job takes its people that day; bench work that pauses takes only their own hours."""
    whole = span_on(row.starts_at, row.ends_at, day)
    whole = Span(max(whole.starts_min, 0), max(min(whole.ends_min, 1440), max(whole.starts_min, 0)))
    if not whole.length_min:
        return []
    if row.job.kind.pausing != Pausing.PAUSED:
        return [whole]
    return [
        Span(max(whole.starts_min, each.starts_min), min(whole.ends_min, each.ends_min))
        for each in here
        if each.meets(whole)
    ]


def still_to_do(rows: Iterable[PlannedJob]) -> list[PlannedJob]:
    """Those that still take hands: neither finished nor called off."""
    return [row for row in rows if row.job.state not in NOT_BUSY]


def weeks_of(
    person: Person, rows: Sequence[PlannedJob], today: date, holidays: Mapping[date, str], count: int = WEEKS_AHEAD
) -> list[WeekOfPerson]:
    """This week from today on, and the weeks after it: a plan tells what is to come, not what was done."""
    found = []
    for week in range(count):
        first = monday_of(today) + timedelta(days=7 * week)
        shown = [day for n in range(7) if (day := first + timedelta(days=n)) >= today]
        days = [day_of(person, day, rows, holidays) for day in shown]
        here, planned = (
            sum(length_min(part) for part in parts)
            for parts in ((day.here for day in days), (day.taken for day in days))
        )
        found.append(WeekOfPerson(first, here, planned))
    return found


def monday_of(day: date) -> date:
    return day - timedelta(days=day.weekday())


def next_after(rows: Iterable[PlannedJob], now: datetime) -> PlannedJob | None:
    """The first job that has not begun; rows in order of start."""
    return next((row for row in still_to_do(rows) if row.starts_at > now), None)


def job_at(rows: Iterable[PlannedJob], now: datetime, here: Sequence[Span]) -> PlannedJob | None:
    """The job that the plan gives the person at this moment."""
    today = local(now).date()
    minute = local(now).hour * 60 + local(now).minute
    moment = Span(minute, minute + 1)
    for row in still_to_do(rows):
        if row.starts_at <= now < row.ends_at and any(span.meets(moment) for span in spans_of(row, today, here)):
            return row
    return None


def hours_text(minutes: int) -> str:
    """ "38 h", "7 h 30", "50 min" """
    whole, rest = divmod(minutes, 60)
    if not whole and rest:
        return f"{rest} min"
    return f"{whole} h {rest:02d}" if rest else f"{whole} h"
