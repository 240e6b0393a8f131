"""Closing a day: everything planned is presumed done, but for what a person says; undone as one; by one of two."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from yard.models import DayClosing, Event, Fact, Job, PlannedJob
from yard.queries.accounts import called
from yard.queries.sails import DRY
from yard.services.day_rows import says_of
from yard.services.facts_revision import bump_facts
from yard.services.happenings import DayClosed, Done, EventRefused, Started, Stopped
from yard.services.proposals import NothingPosted, ask_for_proposal
from yard.services.record_event import record_event, take_back

OPEN = (Job.State.OPEN, Job.State.STARTED, Job.State.FAILED)


class AlreadyClosed(Exception):
    """Somebody closed the day before; the text says who and when. Nothing was saved."""


@dataclass(frozen=True, slots=True)
class Presumed:
    """What is taken for granted of a day's rows, by job id. waiting: provisional work, of which nothing is presumed."""

    outcomes: dict[int, Done | Started]
    waiting: tuple[Job, ...]


def presumed(rows: Iterable[PlannedJob], *, ends_at: datetime, now: datetime) -> Presumed:
    """rows: the day's, with the facts of their jobs at hand. ends_at: of the day. now: the yard's clock.

    What ends on the day is done, at its planned end or now; what goes on after it is begun, and so are sails on a line,
    until somebody says "dry"; what waits on a fact that is not here is neither, for nobody was to begin it.
    """
    outcomes: dict[int, Done | Started] = {}
    waiting = []
    for row in rows:
        job = row.job
        if job.state not in OPEN:
            continue
        if job.state != Job.State.STARTED and any(fact.state != Fact.State.HERE for fact in job.facts.all()):
            waiting.append(job)
        elif row.ends_at <= ends_at and job.kind.key != DRY:
            outcomes[job.pk] = Done(job, min(row.ends_at, now))
        elif job.state != Job.State.STARTED:
            outcomes[job.pk] = Started(job, min(row.starts_at, now))
    return Presumed(outcomes, tuple(waiting))


def close_day(what: DayClosed, *, form_key: UUID, by: User | None, now: datetime, real_now: datetime) -> DayClosing:
    """Write the day; where something was not done, ask for a proposal. now: the yard's clock.

    The same form sent twice is one closing.  Raises AlreadyClosed, and EventRefused (also for a day to come).
    """
    if what.day > timezone.localtime(now).date():
        raise EventRefused(_("This day is still to come: it is closed when its work is over."))
    with transaction.atomic():
        bump_facts()
        if (before := DayClosing.objects.filter(form_key=form_key).first()) is not None:
            return before
        if (other := closing_of(what.day)) is not None:
            raise AlreadyClosed(closed_words(other))
        event = record_event(what, by=by, now=now)
        closing = DayClosing.objects.create(
            day=what.day, event=event, form_key=form_key, says=says_of(what)[:300], closed_by=by, closed_at=now
        )
    if any(isinstance(each, Stopped) for each in what.outcomes):
        _propose(event, by, real_now)
    return closing


def add_to_day(what: DayClosed, *, form_key: UUID, by: User | None, now: datetime) -> Event:
    """Hours, materials and extras of a day that is closed already: an event of its own."""
    if what.outcomes:
        raise EventRefused(_("The day is closed: undo that first to say what became of a job."))
    return record_event(what, by=by, now=now, form_key=form_key)


def undo_closing(closing: DayClosing, *, by: User | None, now: datetime) -> None:
    """Put every job back as it was.  Raises EventRefused where something was changed since."""
    with transaction.atomic():
        bump_facts()
        if DayClosing.objects.filter(pk=closing.pk, undone_at=None).update(undone_at=now, undone_by=by) != 1:
            raise EventRefused(_("Somebody undid it already."))
        take_back(closing.event, by=by, now=now)


def closing_of(day: date) -> DayClosing | None:
    """The closing of a day that holds. One query."""
    return DayClosing.objects.filter(day=day, undone_at=None).select_related("closed_by", "event").first()


def closed_with(form_key: UUID) -> DayClosing | None:
    """The closing that this form wrote when it was sent before, undone since or not. One query."""
    return DayClosing.objects.filter(form_key=form_key).first()


def closed_words(closing: DayClosing) -> str:
    user = closing.closed_by
    who = called(user, nobody="somebody")
    return _("This day was closed by {who} already: {says}. Nothing was saved now; add what is missing below.").format(
        who=who, says=closing.says
    )


def _propose(event: Event, by: User | None, real_now: datetime) -> None:
    try:
        ask_for_proposal([event], by=by, now=real_now)
    except NothingPosted:
        return  # then nothing hangs there to mend: the rest is planned with the next plan
