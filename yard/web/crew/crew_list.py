"""The crew as a table: who can do what, how full the week is, who is away soon and what comes next."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Person, Plan, PlannedJob
from yard.queries.crew import CrewRows, crew_week
from yard.web.crew.load import WEEKS_AHEAD, hours_text, job_at, monday_of, next_after, weeks_of
from yard.web.crew.words import away_in_words, job_in_words, job_named, skills_in_words
from yard.web.days.hours import stretches
from yard.web.tables.yard_table import YardTable
from yard.web.units import at_minute, local

LAST = datetime.max.replace(tzinfo=UTC)
"""Who has no next job stands last."""


@dataclass(frozen=True)
class CrewRow:
    """A person as the table shows them. here_min, planned_min: of this week."""

    person: Person
    name: str
    skills: str
    here_min: int
    planned_min: int
    load: int
    away: str
    now: str
    next_job: str
    next_at: datetime


class CrewTable(YardTable):
    """Everybody who works in the yard."""

    caption = gettext_lazy("Everybody who works in the yard")
    caption_hidden = True
    row_heading = "name"
    optional = ("now", "next_job", "load", "away", "skills")

    name = tables.Column(gettext_lazy("Name"))
    now = tables.Column(gettext_lazy("Now"), orderable=False)
    next_job = tables.Column(gettext_lazy("Next job"), order_by="next_at")
    load = tables.Column(gettext_lazy("Planned, rest of this week"))
    away = tables.Column(gettext_lazy("Away soon"), orderable=False, empty_values=(None,))
    skills = tables.Column(gettext_lazy("Skills"), orderable=False)

    class Meta:
        order_by = "name"
        empty_text = gettext_lazy("Nobody is entered yet.")

    def render_name(self, record: CrewRow) -> SafeString:
        address = reverse("person", args=[record.person.pk])
        words = '<a href="{}">{}</a> <span class="soft">{}</span>'
        return format_html(words, address, record.name, _("contractor") if record.person.contractor else "")

    def value_name(self, value: str) -> str:
        return value

    def render_load(self, record: CrewRow) -> str:
        planned = hours_text(record.planned_min)
        if not record.here_min:
            return _("{hours} planned, no hours").format(hours=planned) if record.planned_min else _("no hours")
        of_those = _("{planned} of {here}").format(planned=planned, here=hours_text(record.here_min))
        return f"{of_those}, {record.load}\u00a0%"


def read_crew(plan: Plan | None, *, now: datetime) -> CrewRows:
    """Everybody, the plan of this week from its Monday on, and what each does next after it. Seven queries."""
    monday = monday_of(local(now).date())
    begins, ends, known_to = (at_minute(monday + timedelta(days=7 * weeks), 0) for weeks in (0, 1, WEEKS_AHEAD))
    return crew_week(plan, begins, ends, known_to, now)


def rows_by_person(told: CrewRows) -> dict[int, list[PlannedJob]]:
    """Planned jobs by person, each in order of start."""
    found: dict[int, list[PlannedJob]] = defaultdict(list)
    for each in told.planned:
        found[each.person_id].append(each.planned_job)
    return found


def crew_list(told: CrewRows, *, now: datetime) -> list[CrewRow]:
    """A row a person, by name."""
    planned = rows_by_person(told)
    return [_row(person, planned[person.pk], told, now) for person in told.people]


def _row(person: Person, rows: list[PlannedJob], told: CrewRows, now: datetime) -> CrewRow:
    today = local(now).date()
    week = weeks_of(person, rows, today, told.holidays, 1)[0]
    here = stretches(person, today, told.holidays)
    coming = next_after(rows, now)
    current = job_at(rows, now, here)
    minute = local(now).hour * 60 + local(now).minute
    present = any(span.starts_min <= minute < span.ends_min for span in here)
    return CrewRow(
        person=person,
        name=person.short_name,
        skills=skills_in_words(person),
        here_min=week.here_min,
        planned_min=week.planned_min,
        load=week.per_cent or 0,
        away=away_in_words(list(person.dated_hours.all()), now),
        now=job_named(current) if current else _("free") if present else _("not here"),
        next_job=job_in_words(coming, now) or (_("none in eight weeks") if told.planned else ""),
        next_at=coming.starts_at if coming else LAST,
    )
