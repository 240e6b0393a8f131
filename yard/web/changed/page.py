"""History in words: a boat's jobs from plan to plan with who and why, and what changed in the yard since a moment."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo

from django.contrib.auth.models import User
from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import Boat, PlannedJob
from yard.queries.accounts import called
from yard.queries.changed import BoatHistory, Since, boat_history, since
from yard.queries.plan_difference import BoatMove, boat_moves
from yard.web.units import at_minute, local


@dataclass(frozen=True)
class Line:
    """One thing that happened: what, why and by whom, in words. kind: planned, moved, event, told, lies."""

    at: datetime
    kind: str
    what: str
    why: str
    who: str


def boat_lines(boat: Boat, *, with_told: bool) -> list[Line]:
    """The newest first."""
    told = boat_history(boat, with_told=with_told)
    lines = [*_planned(told), *_events(told), *_told(told), *_lies(told)]
    return sorted(lines, key=lambda line: line.at, reverse=True)


def name_of(user: User | None) -> str:
    return called(user, nobody="–")


def _planned(told: BoatHistory) -> Iterator[Line]:
    """A line where a plan first has a job, and where a later one has it at another time or with other people."""
    last: dict[int, PlannedJob] = {}
    for row in told.planned:
        before, plan = last.get(row.job_id), told.plans[row.plan_id]
        last[row.job_id] = row
        at = plan.posted_at or plan.made_at
        hand = told.by_hand.get((plan.pk, row.job_id))
        why = (hand.reason or _("by hand")) if hand is not None else told.why.get(plan.pk, plan.note)
        who = name_of(hand.made_by if hand is not None else plan.posted_by)
        if before is None:
            what = _("{job}: {when} (plan {number})")
            yield Line(at, _("planned"), what.format(job=row.job.name, when=when(row), number=plan.number), why, who)
        elif before.starts_at != row.starts_at:
            yield Line(at, _("moved"), _from_to(row, plan.number, when(before), when(row)), why, who)
        elif (was := _people(before)) != (now := _people(row)):
            what = _from_to(row, plan.number, was or _("nobody"), now or _("nobody"))
            yield Line(at, _("people"), what, why, who)


def _from_to(row: PlannedJob, number: int | None, was: str, now: str) -> str:
    return _("{job}: {was} to {now} (plan {number})").format(job=row.job.name, was=was, now=now, number=number)


def _people(row: PlannedJob) -> str:
    return ", ".join(each.name for each in row.planned_people.all())


def when(row: PlannedJob) -> str:
    return said(local(row.starts_at), "D j M H:i")


def _events(told: BoatHistory) -> Iterator[Line]:
    for event in told.events:
        yield Line(event.recorded_at, _("event"), event.says, "", name_of(event.recorded_by))
        if event.withdrawn_at is not None:
            taken_back = _("taken back: {what}").format(what=event.says)
            yield Line(event.withdrawn_at, _("event"), taken_back, "", name_of(event.withdrawn_by))


def _told(told: BoatHistory) -> Iterator[Line]:
    for row in told.told:
        yield Line(row.told_at, _("told"), str(row), "", name_of(row.told_by))


def _lies(told: BoatHistory) -> Iterator[Line]:
    for row in told.lies:
        yield Line(
            row.since,
            _("lies"),
            _("lies: {where}").format(where=row.mooring or row.place or row.get_kind_display()),
            row.note,
            name_of(row.said_by),
        )


@dataclass(frozen=True)
class ChangedPage:
    """moves: boats whose jobs stand elsewhere than in the plan that hung then; None where none hung."""

    day: date
    told: Since
    moves: tuple[BoatMove, ...] | None
    lines: tuple[Line, ...]


def changed_since(day: date, *, now: datetime, zone: tzinfo, with_told: bool) -> ChangedPage:
    """Since the end of a day's work: its midnight."""
    moment = at_minute(day + timedelta(days=1), 0)
    told = since(moment, until=now, with_told=with_told)
    moves = None
    if told.before is not None and told.now is not None:
        moves = () if told.before.pk == told.now.pk else boat_moves(told.before, told.now, zone)
    return ChangedPage(day, told, moves, tuple(_since_lines(told)))


def _since_lines(told: Since) -> list[Line]:
    lines = [
        Line(
            plan.posted_at or plan.made_at,
            _("plan"),
            _("plan {number} posted").format(number=plan.number),
            told.why.get(plan.pk, plan.note),
            name_of(plan.posted_by),
        )
        for plan in told.posted
    ]
    lines += [
        Line(event.recorded_at, event.get_kind_display(), event.says, "", name_of(event.recorded_by))
        for event in told.events
    ]
    lines += [
        Line(event.withdrawn_at, _("taken back"), event.says, "", name_of(event.withdrawn_by))
        for event in told.events
        if event.withdrawn_at is not None
    ]
    lines += [
        Line(row.told_at, _("told"), f"{row.order.boat or row.order.walk_in_name}: {row}", "", name_of(row.told_by))
        for row in told.told
    ]
    return sorted(lines, key=lambda line: line.at)
