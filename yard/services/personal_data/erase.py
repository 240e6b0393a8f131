"""Erasing an owner: no way back. Boats, orders, hours and materials stay as they are; nothing says any more whose."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import Any

from django.contrib.auth.models import User
from django.contrib.sessions.backends.db import SessionStore
from django.contrib.sessions.models import Session
from django.core.cache import cache
from django.db import connection, models, transaction
from django.db.models import F
from django.utils.translation import gettext as _

from yard.models import (
    Boat,
    BoatOwner,
    FeedEntry,
    FeedMember,
    Letter,
    Owner,
    Photograph,
    RunWish,
    SaleToCome,
    SecurityEvent,
)
from yard.services.facts_revision import bump_facts
from yard.services.personal_data.kept import one_person, rows_with
from yard.services.personal_data.letter_files import erase_letter_files
from yard.services.personal_data.tables import (
    BECOMES,
    OWNER_COLUMNS,
    Goes,
    every_table,
    history_of,
    relations,
    rows_of,
)
from yard.services.personal_data.traces import Traces, traces_of
from yard.services.photograph_files import remove
from yard.services.security_log import note


class NotErased(ValueError):
    """Nothing was changed; the text says why, and what to do first."""


@dataclass(frozen=True, slots=True)
class Erased:
    """How much was made nameless: rows that named her, other places where her name stood, photographs and letters."""

    rows: int
    mentions: int
    photographs: int
    letter_files: int


def name_when_erased(owner: Owner) -> str:
    return _("Erased owner {owner}").format(owner=owner.pk)


def what_stands_in_the_way(owner: Owner) -> list[str]:
    """Why she cannot be erased yet, and the remedy of each; empty where nothing does."""
    keys = [each.pk for each in one_person(owner)]
    found = []
    if owner.name == name_when_erased(owner):
        found.append(_("Was erased already: nothing is left of this owner but the number."))
    if owner.merged_into is not None:
        found.append(
            _("Found to be the same as {owner}: erase that one, and this goes with it.").format(
                owner=owner.merged_into.name
            )
        )
    boats = Boat.objects.filter(ownerships__owner__in=keys, ownerships__ends_on=None, archived=False)
    if names := ", ".join(boats.order_by("name", "id").values_list("name", flat=True).distinct()):
        found.append(_("Still owner of {boats}: sell her, or end the share, first.").format(boats=names))
    if Letter.objects.filter(owner__in=keys, state=Letter.State.SENDING).exists():
        found.append(_("A letter is being sent at this moment: wait a minute."))
    if SaleToCome.objects.filter(buyer__in=keys, called_off_at=None, carried_out_at=None).exists():
        found.append(_("Is to buy a boat: call the sale off first."))
    if RunWish.objects.filter(owner__in=keys, state__in=[RunWish.State.ASKED, RunWish.State.BOOKED]).exists():
        found.append(
            _("Waits to be carried out to a boat, or was and it is not said: say so on the page of runs first.")
        )
    return found


def only_theirs(owner: Owner) -> models.QuerySet[Photograph]:
    """Photographs of boats that nobody else ever owned."""
    keys = [each.pk for each in one_person(owner)]
    mine = BoatOwner.objects.filter(owner__in=keys).values("boat")
    of_others = BoatOwner.objects.exclude(owner__in=keys).values("boat")
    return Photograph.objects.filter(boat__in=mine).exclude(boat__in=of_others)


def erase(owner: Owner, *, typed: str, photographs: bool, by: User, now: datetime) -> Erased:
    """All of it or nothing. typed: the name, as the one who confirms it wrote it. Raises NotErased.

    Rows of closed seasons lose names too: what the season gate keeps whole are hours, materials and prices.
    """
    with transaction.atomic(), _pages_overwritten():
        owner = Owner.objects.select_for_update().get(pk=owner.pk)
        if " ".join(typed.split()) != " ".join(owner.name.split()):
            raise NotErased(_("Nothing was erased: type the name as it stands, “{owner}”.").format(owner=owner.name))
        if reasons := what_stands_in_the_way(owner):
            raise NotErased(" ".join([_("Nothing was erased."), *reasons]))
        bump_facts()
        owners = one_person(owner)
        traces = traces_of(owners)
        names = _photographs(owner) if photographs else []
        rows = _rows_that_name([each.pk for each in owners])
        for each in owners:
            rows += _nameless(each)
        mentions = _elsewhere(traces) + _in_sessions(traces)
        note(SecurityEvent.Kind.OWNER_ERASED, by=by, now=now, about=f"owner {owner.pk}")
        # Files go once nothing names them any more: a failed commit leaves them where they are.
        transaction.on_commit(partial(_remove_files, names), robust=True)
        # Copies of what the rows held: a moment too early if the commit fails, but never left there if all ends here.
        letters = erase_letter_files(traces)
    cache.clear()
    return Erased(rows, mentions, len(names), letters)


@contextmanager
def _pages_overwritten() -> Iterator[None]:
    """SQLite leaves what was deleted in free pages of its file, and in its log: here it writes over them.

    Source: sqlite.org, PRAGMA secure_delete and wal_checkpoint. PostgreSQL's VACUUM does so in its own time.
    """
    if connection.vendor != "sqlite":
        yield
        return
    transaction.on_commit(_end_of_log, robust=True)
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA secure_delete = ON")
        try:
            yield
        finally:
            cursor.execute("PRAGMA secure_delete = OFF")


def _end_of_log() -> None:
    """Where somebody reads at this moment, the log is written over later, as it always is."""
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def _rows_that_name(keys: list[int]) -> int:
    count = 0
    for name, model, relation in relations():
        becomes = BECOMES[name]
        if model is Owner:
            continue
        rows = rows_of(model, relation, keys)
        history = history_of(model)
        if isinstance(becomes, Goes):
            count += _go(model, rows)
            if history is not None:
                history._base_manager.filter(**{f"{relation}__in": keys}).delete()
            continue
        if model is Letter:
            waiting = [Letter.State.READING, Letter.State.RELEASED]
            rows.filter(state__in=waiting).update(state=Letter.State.DROPPED)
        count += rows.update(**becomes.columns, **_next_version(model))
        if history is not None:
            history._base_manager.filter(**{f"{relation}__in": keys}).update(**becomes.columns)
    return count


def _go(model: type[models.Model], rows: models.QuerySet[Any]) -> int:
    """An event that stands in no other calendar goes with what stood in hers."""
    entries = list(rows.values_list("entry", flat=True)) if model is FeedMember else []
    count: int = rows.delete()[0]
    FeedEntry.objects.filter(pk__in=entries, members=None).delete()
    return count


def _nameless(owner: Owner) -> int:
    """The row of the owner itself, and what it was."""
    values = {**OWNER_COLUMNS, "name": name_when_erased(owner), "ref": f"erased-{owner.pk}"}
    history = history_of(Owner)
    assert history is not None  # owners have one
    before = history._base_manager.filter(id=owner.pk).update(
        **{**values, "ref": "", "archived": F("archived"), "history_change_reason": ""}
    )
    return before + Owner.objects.filter(pk=owner.pk).update(**values, **_next_version(Owner))


def _next_version(model: type[models.Model]) -> Mapping[str, Any]:
    """Whoever has the form of such a row open is told that it was changed, and does not save the name again."""
    has = any(column.name == "version" for column in model._meta.concrete_fields)
    historical = hasattr(model, "history_type")
    return {"version": F("version") + 1} if has and not historical else {}


def _elsewhere(traces: Traces) -> int:
    """Her name wherever it stands. An event of a calendar goes: made anew it is told as new, and under no old text."""
    count = 0
    for model in every_table():
        hits = list(rows_with(model, traces))
        count += len(hits)
        if model is FeedMember:
            FeedEntry.objects.filter(members__in=[key for key, _ in hits]).delete()
        elif model is FeedEntry:
            FeedEntry.objects.filter(pk__in=[key for key, _ in hits]).delete()
        else:
            for key, values in hits:
                new = {column.attname: _fitting(column, traces.taken_out(value)) for column, value in values}
                model._base_manager.filter(pk=key).update(**new, **_next_version(model))
    return count


def _fitting(column: models.Field[Any, Any], value: Any) -> Any:
    most = getattr(column, "max_length", None)
    return value[:most] if most and isinstance(value, str) else value


def _in_sessions(traces: Traces) -> int:
    """Messages that wait to be shown, and searches of pages to come back to."""
    count = 0
    for row in Session.objects.all():
        data = row.get_decoded()
        if traces.in_value(data):
            row.session_data = SessionStore(row.session_key).encode(traces.taken_out(data))
            row.save(update_fields=["session_data"])
            count += 1
    return count


def _photographs(owner: Owner) -> list[str]:
    """Rows of photographs go now; gives the names of their files."""
    rows = only_theirs(owner)
    names = list(rows.values_list("file", flat=True))
    rows.delete()
    return names


def _remove_files(names: list[str]) -> None:
    for name in names:
        remove(name)
