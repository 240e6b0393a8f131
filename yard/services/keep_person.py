"""The one writer of people as pages change them: who they are, what they can do, when they work, until when.

Absences and extra hours are happenings under a posted plan, so `record_event` writes those.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time
from itertools import pairwise
from typing import Any

from yard.models import Person, PersonSkill, Skill, Weekday, WeeklyHours
from yard.services.keep_row import Book, RowRefused, Writer, rows_as_of

Hours = tuple[tuple[int, time, time], ...]
"""(weekday, starts, ends), in order."""


@dataclass(frozen=True, slots=True)
class Held:
    """How well somebody does something, and the licence for it. until: its last day."""

    level: int
    licence: str = ""
    until: date | None = None


class SkillsOf:
    """A person's skills: {id of the skill: Held}."""

    def read(self, row: Person) -> dict[int, Held]:
        return {each.skill_id: _held(each) for each in row.skills.all()}

    def was(self, pasts: Sequence[Any]) -> list[dict[int, Held]]:
        told = PersonSkill.history.filter(person_id__in={past.id for past in pasts})
        on_file = set(Skill.objects.values_list("pk", flat=True))
        return [
            {each.skill_id: _held(each) for each in rows if each.skill_id in on_file}
            for rows in rows_as_of(told, [past.history_date for past in pasts])
        ]

    def write(self, row: Person, value: Mapping[int, Held], writer: Writer, reason: str) -> None:
        wanted = dict(value)
        for each in row.skills.all():
            held = wanted.pop(each.skill_id, None)
            writer.sign(each, reason)
            if held is None:
                each.delete()
            elif held != _held(each):
                each.level, each.licence, each.licence_until = held.level, held.licence, held.until
                each.full_clean()
                each.save()
        for skill, held in wanted.items():
            fresh = PersonSkill(
                person=row, skill_id=skill, level=held.level, licence=held.licence, licence_until=held.until
            )
            fresh.full_clean()
            writer.sign(fresh, reason)
            fresh.save()


class HoursOf:
    """A person's weekly hours: (weekday, starts, ends) in order."""

    def read(self, row: Person) -> Hours:
        return _in_order(row.weekly_hours.all())

    def was(self, pasts: Sequence[Any]) -> list[Hours]:
        told = WeeklyHours.history.filter(person_id__in={past.id for past in pasts})
        return [_in_order(rows) for rows in rows_as_of(told, [past.history_date for past in pasts])]

    def write(self, row: Person, value: Hours, writer: Writer, reason: str) -> None:
        wanted = set(value)
        for each in row.weekly_hours.all():
            key = (each.weekday, each.starts, each.ends)
            if key in wanted:
                wanted.remove(key)
            else:
                writer.sign(each, reason)
                each.delete()
        for weekday, starts, ends in sorted(wanted):
            fresh = WeeklyHours(person=row, weekday=weekday, starts=starts, ends=ends)
            fresh.full_clean()
            writer.sign(fresh, reason)
            fresh.save()


def _held(row: Any) -> Held:
    return Held(row.level, row.licence, row.licence_until)


def _in_order(rows: Any) -> Hours:
    return tuple(sorted((each.weekday, each.starts, each.ends) for each in rows))


def _check(row: Person, values: Mapping[str, Any]) -> None:
    """What the model cannot say, in the trade's words."""
    hours: Hours = values["hours"] if "hours" in values else (HoursOf().read(row) if row.pk else ())
    if row.contractor and hours:
        raise RowRefused(
            "hours", f"{row.short_name or 'A contractor'} comes on agreed dates: empty the weekly hours, or untick it."
        )
    by_day: dict[int, list[tuple[int, int]]] = {}
    for weekday, starts, ends in hours:
        by_day.setdefault(weekday, []).append((starts.hour * 60 + starts.minute, ends.hour * 60 + ends.minute))
    for weekday, spans in by_day.items():
        spans.sort()
        if any(later[0] < earlier[1] for earlier, later in pairwise(spans)):
            raise RowRefused("hours", f"{Weekday(weekday).label}: two stretches overlap. Let one end before the next.")
        length = sum(ends - starts for starts, ends in spans)
        if length > row.longest_day_min:
            raise RowRefused(
                "hours",
                f"{Weekday(weekday).label} has {length / 60:g} h, more than the longest day of "
                f"{row.longest_day_min / 60:g} h: shorten it, or lengthen the longest day.",
            )
    if row.slides_per_week and not (row.early_slide_min or row.late_slide_min):
        raise RowRefused("slides_per_week", "Say how far a day may slide, early or late, or leave this at 0.")


PEOPLE = Book(
    model=Person,
    fields=(
        "name",
        "short_name",
        "user",
        "phone",
        "contractor",
        "starts_on",
        "leaves_on",
        "usual_slip_days",
        "early_slide_min",
        "late_slide_min",
        "slides_per_week",
        "overtime_min_per_week",
        "longest_day_min",
        "least_rest_min",
        "notes",
    ),
    beside={"skills": SkillsOf(), "hours": HoursOf()},
    check=_check,
    words={
        "user": "account",
        "starts_on": "first day",
        "leaves_on": "leaves",
        "usual_slip_days": "usual slip",
        "early_slide_min": "early for a tide",
        "late_slide_min": "late for a tide",
        "slides_per_week": "slides a week",
        "overtime_min_per_week": "overtime a week",
        "longest_day_min": "longest day",
        "least_rest_min": "least rest",
        "hours": "weekly hours",
    },
)

SKILLS = Book(model=Skill, fields=("name",), made_of_name="key")
"""Skills by name; the key, by which packages ask for one, stays as it was made."""
