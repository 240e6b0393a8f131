"""History in words: a boat's jobs from plan to plan with who and why, and what changed in the yard since a moment."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo

from django.contrib.auth.models import User

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
        why = (hand.reason or "by hand") if hand is not None else told.why.get(plan.pk, plan.note)
        who = name_of(hand.made_by if hand is not None else plan.posted_by)
        if before is None:
            yield Line(at, "planned", f"{row.job.name}: {when(row)} (plan {plan.number})", why, who)
        elif before.starts_at != row.starts_at:
            what = f"{row.job.name}: {when(before)} to {when(row)} (plan {plan.number})"
            yield Line(at, "moved", what, why, who)
        elif (was := _people(before)) != (now := _people(row)):
            yield Line(
                at, "people", f"{row.job.name}: {was or 'nobody'} to {now or 'nobody'} (plan {plan.number})", why, who
            )


def _people(row: PlannedJob) -> str:
    return ", ".join(each.name for each in row.planned_people.all())


def when(row: PlannedJob) -> str:
    at = local(row.starts_at)
    return f"{at:%a} {at.day} {at:%b} {at:%H:%M}"


def _events(told: BoatHistory) -> Iterator[Line]:
    for event in told.events:
        yield Line(event.recorded_at, "event", event.says, "", name_of(event.recorded_by))
        if event.withdrawn_at is not None:
            yield Line(event.withdrawn_at, "event", f"taken back: {event.says}", "", name_of(event.withdrawn_by))


def _told(told: BoatHistory) -> Iterator[Line]:
    for row in told.told:
        yield Line(row.told_at, "told", str(row), "", name_of(row.told_by))


def _lies(told: BoatHistory) -> Iterator[Line]:
    for row in told.lies:
        yield Line(
            row.since,
            "lies",
            f"lies: {row.mooring or row.place or row.get_kind_display()}",
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
            "plan",
            f"plan {plan.number} posted",
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
        Line(event.withdrawn_at, "taken back", event.says, "", name_of(event.withdrawn_by))
        for event in told.events
        if event.withdrawn_at is not None
    ]
    lines += [
        Line(row.told_at, "told", f"{row.order.boat or row.order.walk_in_name}: {row}", "", name_of(row.told_by))
        for row in told.told
    ]
    return sorted(lines, key=lambda line: line.at)
