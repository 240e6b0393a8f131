"""An opened row of the board: why she ends when she does, what would bring her back, and her jobs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import Plan, PlannedJob
from yard.pictures.lettering import weekday_day_month
from yard.queries.season_board import LATE, NO_PLAN, BoatRow, boat_lanes, jobs_of_orders
from yard.web.days.ramp_work import boat_address
from yard.web.season.reasons import WayBack, long_words, short_reason, told_causes, ways_back
from yard.web.units import local


@dataclass(frozen=True)
class OpenedJob:
    name: str
    order: str
    when: str
    people: str
    places: str
    provisional: bool
    pk: int


@dataclass(frozen=True)
class Opened:
    """question: what the row asks, as "cannot keep Fri 14 May". url: her own page, "" where there is none."""

    key: str
    name: str
    question: str
    reasons: tuple[str, ...]
    ways: tuple[WayBack, ...]
    jobs: tuple[OpenedJob, ...]
    url: str


@dataclass(frozen=True)
class Why:
    """Why a boat ends when she does, the cause that comes first in front; short: the same in a few words."""

    short: str
    reasons: tuple[str, ...]
    ways: tuple[WayBack, ...]


def why_then(plan: Plan | None, row: BoatRow, *, now: datetime) -> Why:
    """Five queries."""
    lanes = boat_lanes(plan, [row])
    causes = lanes.causes.get(row.worst.order.pk, [])
    reasons = [long_words(cause, lanes) for cause in told_causes(causes)]
    if row.worst.left_out:
        reasons.insert(0, _sentence(row.worst.left_out))
    short = short_reason(row.worst, lanes, today=local(now).date())
    if not reasons and short:
        reasons = [_sentence(short)]
    return Why(
        _sentence(short) if short else "", tuple(reasons), tuple(ways_back(causes, lanes)) if row.state == LATE else ()
    )


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


def opened_row(plan: Plan | None, row: BoatRow, *, now: datetime) -> Opened:
    """Eight queries, however many jobs."""
    why = why_then(plan, row, now=now)
    return Opened(
        key=row.key,
        name=row.name,
        question=_question(row),
        reasons=why.reasons,
        ways=why.ways,
        jobs=tuple(_job(job) for job in jobs_of_orders(plan, row.order_ids)),
        url=boat_address(row.boat),
    )


def _question(row: BoatRow) -> str:
    due, ends = row.worst.due, row.worst.ends
    if row.state == NO_PLAN:
        return _("has no plan yet")
    if ends is None:
        return _("is not planned")
    if row.state == LATE and due is not None:
        return _("cannot keep {day}").format(day=weekday_day_month(due))
    return _("is done on {day}").format(day=weekday_day_month(ends))


def _job(row: PlannedJob) -> OpenedJob:
    return OpenedJob(
        name=row.job.name,
        order=row.job.order.name,
        when=between(row.starts_at, row.ends_at),
        people=", ".join(person.name for person in row.planned_people.all()),
        places=", ".join(
            dict.fromkeys(place.place.short_name or place.place.name for place in row.planned_places.all())
        ),
        provisional=row.provisional,
        pk=row.job_id,
    )


def between(starts_at: datetime, ends_at: datetime) -> str:
    """ "Thu 6 May 10:00 to 12:30", with the second day only where it is another."""
    one, two = local(starts_at), local(ends_at)
    last = said(two, "H:i") if one.date() == two.date() else said(two, "D j M H:i")
    return _("{first} to {last}").format(first=said(one, "D j M H:i"), last=last)
