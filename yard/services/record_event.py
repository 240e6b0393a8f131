"""What happened, written down by one mechanism: facts change, and an event says who changed what, when and why.

An event keeps its rows as they were and as it left them, so it can be taken back as long as nobody has changed them
since.  What it asks of the plan is a proposal's business (`proposals`).
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models, transaction
from django.utils.dateparse import parse_date, parse_datetime
from django.utils.translation import gettext as _

from yard.models import Closure, Event, Job, PlannedJob, SeasonClosed, YardSettings
from yard.services.event_rows import rows_of
from yard.services.facts_revision import bump_facts
from yard.services.happenings import (
    EventRefused,
    Happening,
    Scribe,
)
from yard.services.pen import sign
from yard.services.whole_change.ledger import model_named
from yard.services.written import Written


def record_event(
    what: Happening,
    *,
    by: User | None,
    now: datetime,
    corrects: Event | None = None,
    form_key: UUID | None = None,
) -> Event:
    """Write the facts and the event.  now: the yard's clock.  corrects: an event that is taken back first.

    form_key: of the form or tap it came on; the same one sent twice is one event.  Raises EventRefused.
    """
    with transaction.atomic():
        bump_facts()
        if form_key is not None and (before := Event.objects.filter(form_key=form_key).first()) is not None:
            return before
        if corrects is not None:
            _take_back(corrects, by=by, now=now)
        scribe = Scribe(by, now, now.astimezone(_zone()).date())
        return write_event(rows_of(what, scribe), scribe, corrects=corrects, form_key=form_key)


def write_event(
    written: Written, scribe: Scribe, *, corrects: Event | None = None, form_key: UUID | None = None
) -> Event:
    """Write rows and the event that keeps them. Call it in a transaction that has bumped the facts."""
    rows = [_store(row, {}, written.says, scribe) for row in written.made]
    rows += [_store(row, fields, written.says, scribe) for row, fields in written.changed]
    return Event.objects.create(
        kind=written.kind,
        says=written.says[:300],
        rows=_plain(rows),
        job=written.job,
        corrects=corrects,
        form_key=form_key,
        recorded_by=scribe.by,
        recorded_at=scribe.now,
    )


def take_back(event: Event, *, by: User | None, now: datetime) -> None:
    """Put the facts back as they were.  Raises EventRefused where they were changed since, or it is taken back."""
    with transaction.atomic():
        bump_facts()
        _take_back(event, by=by, now=now)


def _zone() -> ZoneInfo:
    return ZoneInfo(YardSettings.objects.values_list("time_zone", flat=True).filter(pk=1).first() or "UTC")


def _store(row: models.Model, fields: dict[str, Any], says: str, scribe: Scribe) -> dict[str, Any]:
    """Save a row, new (no fields) or changed, and give what it was and is."""
    before = {name: _value(row, name) for name in fields} if row.pk else None
    for name, value in fields.items():
        setattr(row, name, value)
    if before is None:
        _know_its_relations(row)
    try:
        row.full_clean()
    except ValidationError as error:
        raise EventRefused("; ".join(error.messages)) from error
    if hasattr(row, "history"):
        sign(row, by=scribe.by, now=scribe.now, reason=says)
    try:
        row.save()
    except SeasonClosed as closed:
        raise EventRefused(str(closed)) from closed
    return {"model": type(row).__name__, "pk": row.pk, "before": before, "after": {n: _value(row, n) for n in fields}}


def _know_its_relations(row: models.Model) -> None:
    """A row that names another made just before it learns that one's key."""
    for field in row._meta.concrete_fields:
        if isinstance(field, models.ForeignKey) and field.is_cached(row):  # it names a row that is at hand
            setattr(row, field.name, getattr(row, field.name))


def _value(row: models.Model, name: str) -> Any:
    """As it is stored: an instant in UTC, whatever zone it was typed in."""
    value = getattr(row, _field(row, name).attname)
    return value.astimezone(UTC) if isinstance(value, datetime) else value


def _field(row: models.Model, name: str) -> models.Field[Any, Any]:
    field = row._meta.get_field(name)
    assert isinstance(field, models.Field)
    return field


def _plain(rows: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    plain: list[dict[str, Any]] = json.loads(json.dumps(list(rows), cls=DjangoJSONEncoder))
    return plain


NOT_ASKING = (Event.Kind.STARTED, Event.Kind.DONE, Event.Kind.SPLIT, Event.Kind.DAY, Event.Kind.STORM)
"""Kinds that move nothing by themselves; a day that was closed asks when it is closed."""


def _take_back(event: Event, *, by: User | None, now: datetime) -> None:
    if event.kind == Event.Kind.MOVED:
        raise EventRefused(_("Where she lies is said on her page: say there where she lies now."))
    if event.kind == Event.Kind.RUN:
        raise EventRefused(_("A run is called off on the page of owners' runs: do that there."))
    if Event.objects.filter(pk=event.pk, withdrawn_at=None).update(withdrawn_at=now, withdrawn_by=by) != 1:
        raise EventRefused(_("This was taken back already: look at the list again."))
    event.closings.filter(undone_at=None).update(undone_at=now, undone_by=by)
    event.storms.filter(ended_at=None).update(ended_at=now)
    for row in reversed(event.rows):
        _put_back(row, event, Scribe(by, now))


def _put_back(kept: dict[str, Any], event: Event, scribe: Scribe) -> None:
    row = model_named(kept["model"])._default_manager.filter(pk=kept["pk"]).first()
    if row is None:
        return  # what it made is gone already
    if kept["before"] is not None:
        if _plain([{name: _value(row, name) for name in kept["after"]}]) != [kept["after"]]:
            raise EventRefused(
                _("{thing} was changed since “{event}”, so it is not put back: set it by hand.").format(
                    thing=row, event=event
                )
            )
        for name, value in kept["before"].items():
            setattr(row, _field(row, name).attname, _read(row, name, value))
    elif isinstance(row, Closure):
        row.state = Closure.State.WITHDRAWN
    else:
        _remove(row, event)
        return
    if hasattr(row, "history"):
        sign(row, by=scribe.by, now=scribe.now, reason=_("taken back: {event}").format(event=event))
    row.save()


def _remove(row: models.Model, event: Event) -> None:
    """Take away what an event made; work that a posted plan names or that is begun is not."""
    if isinstance(row, Job):
        posted = PlannedJob.objects.filter(job=row, plan__number__isnull=False).exists()
        if posted or row.state in (Job.State.STARTED, Job.State.DONE):
            raise EventRefused(
                _("“{thing}” is planned or begun since “{event}”: withdraw it on its order's page instead.").format(
                    thing=row, event=event
                )
            )
    row.delete()


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
    told = Event.objects.filter(withdrawn_at=None).exclude(kind__in=(Event.Kind.MOVED, Event.Kind.RUN))
    return list(told.select_related("recorded_by")[:50])


def waiting_events() -> list[Event]:
    """What asks for a proposal and was in none yet: told by the crew, or written while no plan hung. Newest first."""
    rows = Event.objects.filter(withdrawn_at=None, proposals=None).exclude(kind__in=NOT_ASKING)
    return list(rows.select_related("recorded_by")[:50])
