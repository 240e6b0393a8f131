"""What happened, written down by one mechanism: facts change, and an event says who changed what, when and why.

An event keeps its rows as they were and as it left them, so it can be taken back as long as nobody has changed them
since.  What it asks of the plan is a proposal's business (`proposals`).
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models, transaction
from django.utils.dateparse import parse_date, parse_datetime

from yard.models import Closure, DatedHours, Event, Fact, Job, Order, Person, Place
from yard.services.facts_revision import bump_facts


class EventRefused(Exception):
    """What was told cannot be; the text says which field is wrong and what to do. Nothing was saved."""


@dataclass(frozen=True, slots=True)
class Closed:
    """All outdoors, the water or one place is shut in [starts_at, ends_at)."""

    covers: str
    starts_at: datetime
    ends_at: datetime
    reason: str
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Hours:
    """People are away, or here beyond their hours, in [starts_at, ends_at); a contractor who slips is away and here."""

    kind: str  # DatedHours.Kind
    people: tuple[Person, ...]
    starts_at: datetime
    ends_at: datetime
    reason: str


@dataclass(frozen=True, slots=True)
class Took:
    """A job under way has so many minutes of work left."""

    job: Job
    left_min: int
    reason: str


@dataclass(frozen=True, slots=True)
class Done:
    """A job is done, earlier than planned."""

    job: Job
    ended_at: datetime


@dataclass(frozen=True, slots=True)
class Failed:
    """A job did not succeed and is to be done again: it is open as before, with the reason."""

    job: Job
    reason: str


@dataclass(frozen=True, slots=True)
class FactTold:
    """A fact is here, or expected on another day."""

    fact: Fact
    expected_date: date | None
    told_by: str


@dataclass(frozen=True, slots=True)
class NewDate:
    """An owner asks for another day."""

    order: Order
    wanted_date: date


@dataclass(frozen=True, slots=True)
class Urgent:
    """An order goes before all others."""

    order: Order
    reason: str


@dataclass(frozen=True, slots=True)
class Moved:
    """A boat lies elsewhere, and somebody stands in the way now; `whereabouts` wrote where she lies."""

    says: str


Happening = Closed | Hours | Took | Done | Failed | FactTold | NewDate | Urgent | Moved


def record_event(what: Happening, *, by: User | None, now: datetime, corrects: Event | None = None) -> Event:
    """Write the facts and the event.  now: the yard's clock.  corrects: an event that is taken back first.

    Raises EventRefused.
    """
    with transaction.atomic():
        bump_facts()
        if corrects is not None:
            _take_back(corrects, by=by, now=now)
        kind, says, made, changed = _facts_of(what, by, now)
        rows = [_store(row, {}) for row in made] + [_store(row, fields) for row, fields in changed]
        return Event.objects.create(
            kind=kind, says=says[:300], rows=_plain(rows), corrects=corrects, recorded_by=by, recorded_at=now
        )


def take_back(event: Event, *, by: User | None, now: datetime) -> None:
    """Put the facts back as they were.  Raises EventRefused where they were changed since, or it is taken back."""
    with transaction.atomic():
        bump_facts()
        _take_back(event, by=by, now=now)


Made = list[models.Model]
Changed = list[tuple[models.Model, dict[str, Any]]]


def _facts_of(what: Happening, by: User | None, now: datetime) -> tuple[Event.Kind, str, Made, Changed]:
    """The kind of event, its sentence, rows to make, and rows with the fields to set."""
    kinds = Event.Kind
    match what:
        case Closed(covers=covers, place=place):
            row = Closure(
                covers=covers,
                place=place,
                starts_at=what.starts_at,
                ends_at=what.ends_at,
                reason=what.reason,
                state=Closure.State.ACCEPTED,
                made_by=by,
                made_at=now,
                decided_by=by,
                decided_at=now,
            )
            return kinds.CLOSURE, str(row), [row], []
        case Hours(kind=kind, people=people):
            hours: Made = [
                DatedHours(person=one, kind=kind, starts_at=what.starts_at, ends_at=what.ends_at, reason=what.reason)
                for one in people
            ]
            names = " and ".join(one.short_name for one in people)
            event = kinds.AWAY if kind == DatedHours.Kind.AWAY else kinds.EXTRA_HOURS
            return event, f"{names}: {'away' if event == kinds.AWAY else 'here as well'}, {what.reason}", hours, []
        case Moved(says=says):
            return kinds.MOVED, says, [], []
        case _:
            return _changes_of(what, by, now)


def _changes_of(
    what: Took | Done | Failed | FactTold | NewDate | Urgent, by: User | None, now: datetime
) -> tuple[Event.Kind, str, Made, Changed]:
    """The same where rows that exist are changed."""
    kinds = Event.Kind
    match what:
        case Took(job=job, left_min=left):
            fields = {"state": Job.State.STARTED, "left_min": left, "state_note": what.reason}
            return kinds.LONGER, f"{job}: {left / 60:g} h left, {what.reason}", [], [(job, fields)]
        case Done(job=job):
            fields = {"state": Job.State.DONE, "actual_ends_at": what.ended_at, "left_min": None}
            return kinds.DONE, f"{job}: done early", [], [(job, fields)]
        case Failed(job=job):
            again = {"state": Job.State.OPEN, "left_min": None, "actual_starts_at": None, "state_note": what.reason}
            return kinds.FAILED, f"{job}: to be done again, {what.reason}", [], [(job, again)]
        case FactTold(fact=fact, expected_date=day):
            told = {
                "state": Fact.State.EXPECTED if day else Fact.State.HERE,
                "expected_date": day,
                "guess": False,
                "told_by": what.told_by,
                "set_by": by,
                "set_at": now,
            }
            return kinds.FACT, f"{fact}: {f'expected {day}' if day else 'here'}", [], [(fact, told)]
        case NewDate(order=order, wanted_date=day):
            return kinds.OWNER_DATE, f"{order}: wanted by {day}", [], [(order, {"wanted_date": day})]
        case Urgent(order=order):
            return kinds.URGENT, f"{order}: goes first, {what.reason}", [], [(order, {"goes_first": 3})]


def _store(row: models.Model, fields: dict[str, Any]) -> dict[str, Any]:
    """Save a row, new (no fields) or changed, and give what it was and is."""
    before = {name: _value(row, name) for name in fields} if row.pk else None
    for name, value in fields.items():
        setattr(row, name, value)
    try:
        row.full_clean()
    except ValidationError as error:
        raise EventRefused("; ".join(error.messages)) from error
    row.save()
    return {"model": type(row).__name__, "pk": row.pk, "before": before, "after": {n: _value(row, n) for n in fields}}


def _value(row: models.Model, name: str) -> Any:
    return getattr(row, _field(row, name).attname)


def _field(row: models.Model, name: str) -> models.Field[Any, Any]:
    field = row._meta.get_field(name)
    assert isinstance(field, models.Field)
    return field


def _plain(rows: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    plain: list[dict[str, Any]] = json.loads(json.dumps(list(rows), cls=DjangoJSONEncoder))
    return plain


_MODELS: dict[str, type[models.Model]] = {model.__name__: model for model in (Closure, DatedHours, Job, Fact, Order)}


def _take_back(event: Event, *, by: User | None, now: datetime) -> None:
    if event.kind == Event.Kind.MOVED:
        raise EventRefused("Where she lies is said on her page: say there where she lies now.")
    if Event.objects.filter(pk=event.pk, withdrawn_at=None).update(withdrawn_at=now, withdrawn_by=by) != 1:
        raise EventRefused("This was taken back already: look at the list again.")
    for row in reversed(event.rows):
        _put_back(row, event)


def _put_back(kept: dict[str, Any], event: Event) -> None:
    model = _MODELS[kept["model"]]
    row = model._default_manager.filter(pk=kept["pk"]).first()
    if row is None:
        return  # what it made is gone already
    if kept["before"] is None:
        if isinstance(row, Closure):
            row.state = Closure.State.WITHDRAWN
            row.save()
        else:
            row.delete()
        return
    if _plain([{name: _value(row, name) for name in kept["after"]}]) != [kept["after"]]:
        raise EventRefused(f"{row} was changed since “{event}”, so it is not put back: set it by hand.")
    for name, value in kept["before"].items():
        setattr(row, _field(row, name).attname, _read(row, name, value))
    row.save()


def _read(row: models.Model, name: str, value: Any) -> Any:
    """A value as JSON keeps it, as the field has it."""
    field = row._meta.get_field(name)
    if value is None or not isinstance(value, str):
        return value
    if isinstance(field, models.DateTimeField):
        return parse_datetime(value)
    return parse_date(value) if isinstance(field, models.DateField) else value


def open_events() -> Sequence[Event]:
    """What was recorded and may be taken back, newest first."""
    told = Event.objects.filter(withdrawn_at=None).exclude(kind=Event.Kind.MOVED)
    return list(told.select_related("recorded_by")[:50])
