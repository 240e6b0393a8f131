"""Somebody is away or here as well, a place is shut, an absence was none: written down, and a proposal asked for.

What makes the proposal is the fact, whoever tells it: it changes nothing until a planner accepts it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import Closure, DatedHours, Event, Proposal
from yard.services.facts_revision import bump_facts
from yard.services.happenings import Closed, EventRefused, Hours
from yard.services.pen import sign
from yard.services.proposals import NothingPosted, PlannerAtWork, ask_for_proposal
from yard.services.record_event import record_event, take_back


@dataclass(frozen=True, slots=True)
class Clocks:
    """yard_now: the yard's clock, aware; real_now: the machine's, by which runs age."""

    yard_now: datetime
    real_now: datetime


@dataclass(frozen=True, slots=True)
class WrittenDown:
    """proposal: what was asked for; None: why says why not."""

    proposal: Proposal | None
    why: str = ""


def say_hours(what: Hours | Closed, *, by: User | None, clocks: Clocks) -> WrittenDown:
    """Write it down and ask. Raises EventRefused; said again word for word it is refused: it is on file."""
    with transaction.atomic():
        bump_facts()  # locks: of two presses the second finds what the first wrote
        if _on_file(what):
            raise EventRefused(_("This is written down already: nothing was added."))
        event = record_event(what, by=by, now=clocks.yard_now)
    return ask_after([event], by=by, real_now=clocks.real_now)


def drop_hours(row: DatedHours, *, by: User | None, clocks: Clocks) -> WrittenDown:
    """Take an absence, or agreed hours, off the calendar; its history keeps it. Raises EventRefused."""
    with transaction.atomic():
        bump_facts()
        if not DatedHours.objects.filter(pk=row.pk).exists():
            raise EventRefused(_("This is off the calendar already: nothing was changed."))
        event = _event_of(row)
        if event is not None:
            take_back(event, by=by, now=clocks.yard_now)
        else:
            sign(row, by=by, now=clocks.yard_now, reason=_("taken off the calendar"))
            row.delete()
    return ask_after([], by=by, real_now=clocks.real_now)


def ask_after(events: list[Event], *, by: User | None, real_now: datetime) -> WrittenDown:
    """Ask for a proposal without stopping a planning run that is under way."""
    try:
        return WrittenDown(ask_for_proposal(events, by=by, now=real_now, hurry=False))
    except (NothingPosted, PlannerAtWork) as no:
        return WrittenDown(None, str(no))


def _on_file(what: Hours | Closed) -> bool:
    span = {"starts_at": what.starts_at, "ends_at": what.ends_at}
    if isinstance(what, Closed):
        shut = Closure.objects.filter(covers=what.covers, place=what.place, state=Closure.State.ACCEPTED, **span)
        return shut.exists()
    here = DatedHours.objects.filter(person__in=what.people, kind=what.kind, **span)
    return bool(what.people) and here.count() >= len(what.people)


def _event_of(row: DatedHours) -> Event | None:
    """The event that wrote this row alone and was not taken back: it is taken back as a whole."""
    recent = Event.objects.filter(withdrawn_at=None, kind__in=[Event.Kind.AWAY, Event.Kind.EXTRA_HOURS])
    for event in recent.order_by("-id")[:200]:
        if [(each["model"], each["pk"]) for each in event.rows] == [("DatedHours", row.pk)]:
            return event
    return None
