"""The one writer of people as pages change them: who they are, what they can do, when they work, until when.

Absences and extra hours are happenings under a posted plan, so `record_event` writes those.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import Person, PersonSkill, Skill, Weekday, WeeklyHours
from yard.services.keeping import Keeper, Words, Writer, rows_as_of
from yard.services.week_hours import Hours, WeekOf, overlap_in
from yard.speech import short_number

HOURS = WeekOf(WeeklyHours, "person")


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


def _held(row: Any) -> Held:
    return Held(row.level, row.licence, row.licence_until)


def _wrong_with(row: Person, values: Mapping[str, Any]) -> Words:
    hours: Hours = values["hours"] if "hours" in values else (HOURS.read(row) if row.pk else ())
    wrong: dict[str, tuple[str, ...]] = {}
    if row.contractor and hours:
        who = row.short_name or "A contractor"
        wrong["hours"] = (_("{who} comes on agreed dates: empty the weekly hours, or untick it.").format(who=who),)
    elif words := (*overlap_in(hours), *_too_long(hours, row.longest_day_min)):
        wrong["hours"] = words
    if row.slides_per_week and not (row.early_slide_min or row.late_slide_min):
        wrong["slides_per_week"] = (_("Say how far a day may slide, early or late, or leave this at 0."),)
    return wrong


def _too_long(hours: Hours, longest_day_min: int) -> tuple[str, ...]:
    lengths: dict[int, int] = {}
    for weekday, starts, ends in hours:
        length = (ends.hour - starts.hour) * 60 + ends.minute - starts.minute
        lengths[weekday] = lengths.get(weekday, 0) + length
    return tuple(
        _(
            "{weekday} has {length} h, more than the longest day of {longest} h: shorten "
            "it, or lengthen the longest day."
        ).format(
            weekday=Weekday(weekday).label, length=short_number(length / 60), longest=short_number(longest_day_min / 60)
        )
        for weekday, length in lengths.items()
        if length > longest_day_min
    )


PERSON = Keeper(
    Person,
    (
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
    beside={"skills": SkillsOf(), "hours": HOURS},
    words={
        "user": gettext_noop("account"),
        "starts_on": gettext_noop("first day"),
        "leaves_on": gettext_noop("leaves"),
        "usual_slip_days": gettext_noop("usual slip"),
        "early_slide_min": gettext_noop("early for a tide"),
        "late_slide_min": gettext_noop("late for a tide"),
        "slides_per_week": gettext_noop("slides a week"),
        "overtime_min_per_week": gettext_noop("overtime a week"),
        "longest_day_min": gettext_noop("longest day"),
        "least_rest_min": gettext_noop("least rest"),
        "hours": gettext_noop("weekly hours"),
    },
    wrong_with=_wrong_with,
)


def _name_is_taken(row: Skill, values: Mapping[str, Any]) -> Words:
    if Skill.objects.filter(name__iexact=row.name).exclude(pk=row.pk).exists():
        return {"name": (_("There is a skill “{name}” already.").format(name=row.name),)}
    return {}


SKILL = Keeper(Skill, ("name",), made_of_name="key", wrong_with=_name_is_taken)
"""Skills by name; the key, by which packages ask for one, stays as it was made."""
