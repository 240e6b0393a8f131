"""What is said of a person in a line: skills, the next job, time away. No telephone, no note, no reason for being away.

Whoever sees the plan reads these pages, so they hold what the plan itself shows and nothing private.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import DatedHours, Person, PlannedJob
from yard.pictures.lettering import weekday_day_month
from yard.web.days.ramp_work import boat_name
from yard.web.units import local

AWAY_SOON_DAYS = 21


def skills_in_words(person: Person) -> str:
    """ "leads it: rigging; does it: launching, sails": by level, the highest first."""
    by_level: dict[int, list[str]] = {}
    words = {}
    for each in person.skills.all():
        by_level.setdefault(each.level, []).append(each.skill.name.lower())
        words[each.level] = each.get_level_display()
    return "; ".join(
        f"{words[level]}: {', '.join(sorted(by_level[level]))}" for level in sorted(by_level, reverse=True)
    )


def job_in_words(row: PlannedJob | None, now: datetime) -> str:
    """ "Sanderling, Launch, today 10:30"; "" for none."""
    if row is None:
        return ""
    return f"{job_named(row)}, {when(row.starts_at, now)}"


def job_named(row: PlannedJob) -> str:
    """ "Sanderling, Launch" """
    return f"{boat_name(row.job.order)}, {row.job.name}"


def when(at: datetime, now: datetime) -> str:
    """ "today 10:30", "tomorrow 08:00", "Mon 10 May 08:00" """
    shown, today = local(at), local(now).date()
    if shown.date() == today:
        return _("today {time}").format(time=said(shown, "H:i"))
    if shown.date() == today + timedelta(days=1):
        return _("tomorrow {time}").format(time=said(shown, "H:i"))
    return said(shown, "D j M H:i")


def away_in_words(rows: Sequence[DatedHours], now: datetime, days: int = AWAY_SOON_DAYS) -> str:
    """When the person is away in the days to come; "" for not at all."""
    soon = now + timedelta(days=days)
    found = [row for row in rows if row.kind == DatedHours.Kind.AWAY and row.ends_at > now and row.starts_at < soon]
    return "; ".join(dated_words(row, local(now).date()) for row in found)


def dated_words(row: DatedHours, today: date) -> str:
    """ "Mon 10 to Fri 14 May", "Mon 10 May 08:00 to 12:00"; whole days without their hours."""
    starts, ends = local(row.starts_at), local(row.ends_at)
    last = (ends - timedelta(microseconds=1)).date()
    whole = (starts.hour, starts.minute, ends.hour, ends.minute) == (0, 0, 0, 0)
    first_words = _("now") if whole and starts.date() < today <= last else weekday_day_month(starts.date())
    if whole:
        first, until = first_words, weekday_day_month(last)
        return first if starts.date() == last else _("{first} to {last}").format(first=first, last=until)
    until = said(ends, "H:i" if starts.date() == last else "D j M H:i")
    return _("{first} to {last}").format(first=said(starts, "D j M H:i"), last=until)
