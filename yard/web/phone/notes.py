"""What was written of a closed day, in words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from yard.models import Job
from yard.queries.phone import day_notes
from yard.web.crew.load import hours_text
from yard.web.days.ramp_work import boat_name


@dataclass(frozen=True)
class Note:
    """A line: what, and on which boat and job."""

    what: str
    boat: str
    job: str


@dataclass(frozen=True)
class Notes:
    hours: tuple[Note, ...]
    materials: tuple[Note, ...]
    extras: tuple[Note, ...]


def notes_of(day: date) -> Notes:
    """Three queries."""
    told = day_notes(day)
    return Notes(
        tuple(_note(f"{row.person.short_name}, {hours_text(row.worked_min or 0)}", row.job) for row in told.hours),
        tuple(_note(str(row), row.job) for row in told.materials),
        tuple(
            _note(f"{row}, {hours_text(row.extra_min)}" if row.extra_min else str(row), row.job) for row in told.extras
        ),
    )


def _note(what: str, job: Job) -> Note:
    return Note(what, boat_name(job.order), job.name)
