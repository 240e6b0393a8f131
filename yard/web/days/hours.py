"""When a person is in the yard on a day, and when a plan takes that time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, time

from django.utils.translation import gettext as _

from yard.models import DatedHours, Person
from yard.pictures.lettering import clock
from yard.pictures.shapes import Span
from yard.web.units import minute_on

DAY = Span(0, 1440)
NO_HOLIDAYS: Mapping[date, str] = {}


def stretches(person: Person, day: date, holidays: Mapping[date, str] = NO_HOLIDAYS) -> list[Span]:
    """When the person works that day: the week's hours with dated ones added and taken away, in order, joined.

    On a holiday of the yard the week's hours do not count.
    """
    dated = list(person.dated_hours.all())
    here = [
        Span(minute_of(row.starts), minute_of(row.ends) or 1440)
        for row in person.weekly_hours.all()
        if row.weekday == day.weekday() and day not in holidays and person.of_the_yard_on(day)
    ]
    here += [span_on(row.starts_at, row.ends_at, day) for row in dated if row.kind == DatedHours.Kind.HERE]
    away = [span_on(row.starts_at, row.ends_at, day) for row in dated if row.kind == DatedHours.Kind.AWAY]
    return without(joined(here), away)


def joined(spans: Iterable[Span]) -> list[Span]:
    """The minutes of the day that lie in any of the spans, in order, without overlaps."""
    return _runs(spans, ())


def without(spans: Iterable[Span], taken: Iterable[Span]) -> list[Span]:
    """The minutes of the day that lie in one of the spans and in none of those taken."""
    return _runs(spans, taken)


def _runs(spans: Iterable[Span], taken: Iterable[Span]) -> list[Span]:
    minutes = bytearray(1440)
    for several, value in ((spans, b"\1"), (taken, b"\0")):
        for span in several:
            first, last = max(0, span.starts_min), min(1440, span.ends_min)
            if last > first:
                minutes[first:last] = value * (last - first)
    found, at = [], minutes.find(1)
    while at >= 0:
        ends = minutes.find(0, at)
        ends = ends if ends >= 0 else 1440
        found.append(Span(at, ends))
        at = minutes.find(1, ends)
    return found


def length_min(spans: Iterable[Span]) -> int:
    """Minutes of all of them; they do not overlap."""
    return sum(span.length_min for span in spans)


def in_words(spans: Sequence[Span]) -> str:
    """ "08:00 to 12:00, 12:30 to 16:30" """
    return ", ".join(
        _("{first} to {last}").format(first=clock(span.starts_min), last=end_clock(span)) for span in spans
    )


def end_clock(span: Span) -> str:
    """The end of a day is 24:00, not the next day's beginning."""
    return "24:00" if span.ends_min == 1440 else clock(span.ends_min)


def span_on(starts_at: datetime, ends_at: datetime, day: date) -> Span:
    """Minutes of that day; below 0 or over 1440 where it reaches into the days beside it."""
    starts, ends = minute_on(starts_at, day), minute_on(ends_at, day)
    return Span(starts, max(starts, ends))


def minute_of(at: time) -> int:
    return at.hour * 60 + at.minute
