"""The rows that each happening writes: those to make, and those that exist with the fields to set."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext as _

from yard.models import Closure, DatedHours, Event, Fact
from yard.services.day_rows import closed_rows
from yard.services.happenings import (
    Accepted,
    BaggedDamp,
    Closed,
    DayClosed,
    Done,
    EventRefused,
    FactTold,
    Failed,
    Happening,
    Hours,
    Moved,
    NewDate,
    Scribe,
    Slipped,
    Split,
    Started,
    Stopped,
    Took,
    Urgent,
)
from yard.services.job_rows import done_rows, failed_rows, split_rows, started_rows, stopped_rows, took_rows
from yard.services.sail_rows import bagged_rows, with_sails
from yard.services.written import Written

Kind = Event.Kind


def rows_of(what: Happening, scribe: Scribe) -> Written:
    """What a happening writes, nothing of it written yet. Raises EventRefused."""
    match what:
        case Started() | Took() | Stopped() | Done() | Failed() | Split():
            return _of_work(what, scribe)
        case BaggedDamp():
            return bagged_rows(what, scribe)
        case DayClosed():
            return closed_rows(what, scribe)
        case Closed():
            return _closed(what, scribe)
        case Accepted(closure=closure):
            told = {"state": Closure.State.ACCEPTED, "decided_by": scribe.by, "decided_at": scribe.now}
            return Written(Kind.CLOSURE, str(closure), changed=((closure, told),))
        case Hours():
            return _hours(what)
        case Slipped():
            return _slipped(what)
        case Moved(says=says):
            return Written(Kind.MOVED, says)
        case FactTold():
            return _fact_told(what, scribe)
        case NewDate(order=order, wanted_date=day):
            return Written(
                Kind.OWNER_DATE,
                _("{order}: wanted by {day}").format(order=order, day=day),
                changed=((order, {"wanted_date": day}),),
            )
        case Urgent(order=order):
            return Written(
                Kind.URGENT,
                _("{order}: goes first, {reason}").format(order=order, reason=what.reason),
                changed=((order, {"goes_first": 3}),),
            )


def _of_work(what: Started | Took | Stopped | Done | Failed | Split, scribe: Scribe) -> Written:
    match what:
        case Started():
            return started_rows(what, scribe)
        case Took():
            return took_rows(what, scribe)
        case Stopped():
            return stopped_rows(what, scribe)
        case Done():
            return with_sails(done_rows(what, scribe), what, scribe)
        case Failed():
            return failed_rows(what, scribe)
        case Split():
            return split_rows(what, scribe)


def _closed(what: Closed, scribe: Scribe) -> Written:
    row = Closure(
        covers=what.covers,
        place=what.place,
        starts_at=what.starts_at,
        ends_at=what.ends_at,
        reason=what.reason,
        state=Closure.State.ACCEPTED,
        made_by=scribe.by,
        made_at=scribe.now,
        decided_by=scribe.by,
        decided_at=scribe.now,
    )
    return Written(Kind.CLOSURE, str(row), made=(row,))


def _hours(what: Hours) -> Written:
    made: tuple[models.Model, ...] = tuple(
        DatedHours(person=one, kind=what.kind, starts_at=what.starts_at, ends_at=what.ends_at, reason=what.reason)
        for one in what.people
    )
    names = _(" and ").join(one.short_name for one in what.people)
    away = what.kind == DatedHours.Kind.AWAY
    words = _("{names}: away, {reason}") if away else _("{names}: here as well, {reason}")
    says = words.format(names=names, reason=what.reason)
    return Written(Kind.AWAY if away else Kind.EXTRA_HOURS, says, made=made)


def _slipped(what: Slipped) -> Written:
    visit = what.visit
    if visit.kind != DatedHours.Kind.HERE:
        raise EventRefused(_("Choose the day on which the contractor had agreed to come."))
    fields = {"starts_at": what.starts_at, "ends_at": what.ends_at, "reason": what.reason}
    says = _("{name}: comes on another day, {reason}").format(name=visit.person.short_name, reason=what.reason)
    return Written(Kind.SLIP, says, changed=((visit, fields),))


def _fact_told(what: FactTold, scribe: Scribe) -> Written:
    fact, day = what.fact, what.expected_date
    told = {
        "state": Fact.State.EXPECTED if day else Fact.State.HERE,
        "expected_date": day,
        "here_since": None if day else scribe.today,
        "guess": False,
        "told_by": what.told_by,
        "set_by": scribe.by,
        "set_at": scribe.now,
    }
    says = _("{fact}: expected {day}") if day else _("{fact}: here")
    return Written(Kind.FACT, says.format(fact=fact, day=day), changed=((fact, told),))
