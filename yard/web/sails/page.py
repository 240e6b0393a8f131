"""The sails' page: what lies damp, what nobody spoke of, what hangs, and what is to be washed in winter."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from yard.models import Item, Job, YardSettings
from yard.queries.sails import damp_sails, drying_now, line_taken, unsaid_sails
from yard.services.drying_time import drying_time
from yard.services.winter_washing import Waiting, waiting_sails
from yard.web.boats.words import when_words
from yard.web.days.ramp_work import boat_name
from yard.web.sails.words import DampLine, damp_lines, drying_words, line_words
from yard.web.units import local

BACK_BY = (3, 1)
"""Month and day by which washed sails are stowed, unless somebody says otherwise: before spring (common practice)."""


@dataclass(frozen=True, slots=True)
class HangingRow:
    """since: when it was hung; "" where nobody said. line: of all its sails."""

    boat: str
    job: Job
    sails: str
    since: str
    line: str


@dataclass(frozen=True, slots=True)
class UnsaidRow:
    boat: str
    sail: Item
    job: Job
    came_off: str


@dataclass(frozen=True, slots=True)
class SailsPage:
    damp: tuple[DampLine, ...]
    unsaid: tuple[UnsaidRow, ...]
    hanging: tuple[HangingRow, ...]
    waiting: tuple[Waiting, ...]
    drying: str
    back_by: date


def sails_page(yard: YardSettings, now: datetime) -> SailsPage:
    """Twenty queries at most, however many sails."""
    unsaid = tuple(
        UnsaidRow(boat_name(job.order), sail, job, when_words(job.actual_ends_at) if job.actual_ends_at else "")
        for job, sail in unsaid_sails(now)
    )
    return SailsPage(
        damp=damp_lines(damp_sails(now), now),
        unsaid=unsaid,
        hanging=tuple(_hanging(job, sails, yard) for job, sails in drying_now()),
        waiting=tuple(waiting_sails()),
        drying=drying_words(drying_time(now), yard),
        back_by=usual_back_by(local(now).date()),
    )


def _hanging(job: Job, sails: tuple[Item, ...], yard: YardSettings) -> HangingRow:
    return HangingRow(
        boat=boat_name(job.order),
        job=job,
        sails=", ".join(sail.name for sail in sails) or "sails",
        since=when_words(job.actual_starts_at) if job.actual_starts_at else "",
        line=line_words(sum(line_taken(sail).length_m for sail in sails), yard),
    )


def usual_back_by(today: date) -> date:
    """The next such day."""
    this_year = date(today.year, *BACK_BY)
    return this_year if this_year > today else date(today.year + 1, *BACK_BY)
