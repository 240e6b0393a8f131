"""What the crew taps on a phone: each tap has a key of its own, so that one sent twice is written once.

A tap that cannot be is kept too, with what was answered: the phone that asks again gets the same words.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import Event, Job, StormLine, Tap
from yard.queries.accounts import called
from yard.services.facts_revision import bump_facts
from yard.services.happenings import Done, EventRefused, Happening, LiesTonight, SailsOff, Started, Stopped, Took
from yard.services.job_rows import title
from yard.services.keep_records import RecordRefused, about_order, keep_note
from yard.services.record_event import record_event, take_back
from yard.services.storm_work import haul_done, haul_not_done

Kind = Tap.Kind
OFF = "off"
"""The reason of a tap on a storm list that takes a tick away."""
BELIEVED = timedelta(hours=36)
"""A phone's clock is believed so far back: longer without signal than a night is not usual (common practice)."""


@dataclass(frozen=True, slots=True)
class Tapped:
    """What came from a phone. of: the tap that is taken back. line: of a storm list. left_min: what is left."""

    key: UUID
    kind: str
    at: datetime
    job: Job | None = None
    line: StormLine | None = None
    reason: str = ""
    left_min: int | None = None
    lies: LiesTonight | None = None
    sails: SailsOff | None = None
    of: UUID | None = None


def receive(tapped: Tapped, *, by: User | None, now: datetime) -> Tap:
    """Write it, once; what was refused says why in `answer`. now: the yard's clock."""
    with transaction.atomic():
        bump_facts()  # locks: the same tap sent twice at once comes one after the other
        if (before := Tap.objects.filter(key=tapped.key).first()) is not None:
            return before
        at = believed(tapped.at, now)
        event, answer, refused = None, "", False
        try:
            with transaction.atomic():
                event, answer = _write(tapped, at, by, now)
        except (EventRefused, RecordRefused) as error:
            answer, refused = str(error), True
        return Tap.objects.create(
            key=tapped.key,
            kind=tapped.kind,
            job=tapped.job,
            event=event,
            tapped_by=by,
            tapped_at=at,
            received_at=now,
            answer=answer[:300],
            refused=refused,
        )


def believed(at: datetime, now: datetime) -> datetime:
    """When it was tapped, by the phone's clock where that can be: not to come, and not long ago."""
    return at if now - BELIEVED <= at <= now else now


def _write(tapped: Tapped, at: datetime, by: User | None, now: datetime) -> tuple[Event | None, str]:
    match tapped.kind:
        case Kind.NOTE if tapped.job is not None:
            keep_note(about_order(tapped.job.order, tapped.job), tapped.reason, by=by, now=at)
            return None, _("{job}: noted").format(job=title(tapped.job))
        case Kind.STORM if tapped.line is not None:
            return None, tick_line(tapped.line, by=by, at=at, now=now, off=tapped.reason == OFF)
        case Kind.UNDO:
            return None, _undo(tapped, by, now)
    if tapped.job is None:
        raise EventRefused(_("Which job? Look at the page again."))
    if tapped.kind == Kind.FINISHED and tapped.job.state == Job.State.DONE:
        return None, _finished_already(tapped.job)
    event = record_event(_happening(tapped, tapped.job, at), by=by, now=now)
    return event, event.says


def _happening(tapped: Tapped, job: Job, at: datetime) -> Happening:
    match tapped.kind:
        case Kind.STARTED:
            return Started(job, at)
        case Kind.FINISHED:
            return Done(job, at, sails=tapped.sails)
        case Kind.LONGER:
            if not tapped.left_min:
                raise EventRefused(_("Say how much is left."))
            return Took(job, tapped.left_min, tapped.reason or _("took longer"))
        case Kind.STOPPED:
            if not tapped.reason:
                raise EventRefused(_("Say why it was stopped."))
            return Stopped(job, tapped.reason, tapped.left_min, tapped.lies)
    raise EventRefused(_("“{kind}” is nothing that can be tapped.").format(kind=tapped.kind))


def _finished_already(job: Job) -> str:
    last = Event.objects.filter(job=job, withdrawn_at=None, kind=Event.Kind.DONE).select_related("recorded_by").first()
    user = last.recorded_by if last is not None else None
    if user is None:
        return _("{job} was finished already.").format(job=title(job))
    return _("{job} was finished already, by {who}.").format(job=title(job), who=called(user))


def _undo(tapped: Tapped, by: User | None, now: datetime) -> str:
    """Take back what an earlier tap of the same person changed."""
    earlier = None
    if tapped.of is not None:
        earlier = Tap.objects.filter(key=tapped.of, tapped_by=by).select_related("event").first()
    if earlier is None or earlier.event is None:
        raise EventRefused(_("There is nothing to take back."))
    take_back(earlier.event, by=by, now=now)
    return _("taken back: {says}").format(says=earlier.event.says)


def tick_line(line: StormLine, *, by: User | None, at: datetime, now: datetime, off: bool) -> str:
    """Mark a line of a storm list as done, or not, its ordered work with it; one done already stays as it was."""
    if off:
        StormLine.objects.filter(pk=line.pk).update(done_at=None, done_by=None)
        haul_not_done(line, by=by, now=now)
        return _("{boat}: not done").format(boat=line.boat.name)
    StormLine.objects.filter(pk=line.pk, done_at=None).update(done_at=at, done_by=by)
    haul_done(line, by=by, at=at, now=now)
    return _("{boat}: done").format(boat=line.boat.name)
