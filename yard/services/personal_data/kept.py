"""What is kept of an owner: every row that names her, with every column, and every other place that names her."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from itertools import islice
from typing import Any

from django.db import models
from django.utils.translation import gettext as _

from yard.models import Owner
from yard.services.backup.rows import said_as_json
from yard.services.personal_data.names import column_said, table_said
from yard.services.personal_data.tables import (
    BECOMES,
    OWNER_COLUMNS,
    Goes,
    Nameless,
    every_table,
    history_of,
    relations,
    rows_of,
    written_columns,
)
from yard.services.personal_data.traces import Traces, traces_of

FORM = "personal data of an owner, form 1"
SECRET = frozenset({"token_sha256", "seed"})
"""Keys to pages and calendars are no data about a person, and open these to whoever finds the file."""
Column = models.Field[Any, Any]
MOST_HINTS = 60
ROUND = 60
"""Letters told before and behind of where a name stands."""


@dataclass(frozen=True, slots=True)
class KeptTable:
    """Rows of one table. becomes: what an erasure does with them, in words; columns: those that it empties."""

    name: str
    title: str
    becomes: str
    columns: tuple[str, ...]
    rows: tuple[dict[str, Any], ...]


@dataclass(frozen=True, slots=True)
class Mention:
    """Somewhere else that names her. title, label: table and column in words. row: its key."""

    table: str
    column: str
    row: str
    words: str
    title: str
    label: str


@dataclass(frozen=True)
class KeptData:
    """owners: the one who was asked for first, then rows found to be the same person."""

    owners: tuple[Owner, ...]
    tables: tuple[KeptTable, ...]
    mentions: tuple[Mention, ...]
    traces: Traces = field(repr=False)

    @property
    def count(self) -> int:
        return sum(len(table.rows) for table in self.tables)

    def as_json(self, *, yard: str, now: datetime) -> dict[str, Any]:
        return {
            "form": FORM,
            "yard": yard,
            "made_at": now.isoformat(),
            "owner": self.owners[0].pk,
            "tables": {table.name: list(table.rows) for table in self.tables},
            "mentions": [
                {"table": each.table, "column": each.column, "row": each.row, "words": each.words}
                for each in self.mentions
            ],
        }


def one_person(owner: Owner) -> tuple[Owner, ...]:
    """The owner, and every row that was found to be the same person and merged into this one."""
    found, look = [owner], [owner.pk]
    while look:
        more = list(Owner.objects.filter(merged_into__in=look).exclude(pk__in=[each.pk for each in found]))
        found, look = [*found, *more], [each.pk for each in more]
    return tuple(found)


def kept_of(owner: Owner) -> KeptData:
    """Reads through every table of the site: a second or two for a large yard."""
    owners = one_person(owner)
    keys, traces = [each.pk for each in owners], traces_of(owners)
    tables = [
        *_with_history(Owner, "id", keys, _("stays, nameless: that somebody was here"), ("name", "ref", *OWNER_COLUMNS))
    ]
    for name, model, relation in relations():
        if model is Owner:
            continue
        becomes = BECOMES[name]
        columns = tuple(becomes.columns) if isinstance(becomes, Nameless) else ()
        words = _("goes: {why}") if isinstance(becomes, Goes) else _("stays, nameless: {why}")
        words = words.format(why=_(becomes.why))
        tables += _with_history(model, relation, keys, words, columns)
    named = {(table.name, row["id"]) for table in tables for row in table.rows if "id" in row}
    mentions = tuple(each for each in mentions_of(traces) if (each.table, _number(each.row)) not in named)
    return KeptData(owners, tuple(table for table in tables if table.rows), mentions, traces)


def _with_history(
    model: type[models.Model], relation: str, keys: list[int], becomes: str, columns: tuple[str, ...]
) -> Iterator[KeptTable]:
    yield _table(model, rows_of(model, relation, keys), becomes, columns)
    if (history := history_of(model)) is not None:
        rows = history._base_manager.filter(**{f"{relation}__in": keys}).order_by("pk")
        yield _table(history, rows, becomes, columns)


def _table(model: type[models.Model], rows: Any, becomes: str, columns: tuple[str, ...]) -> KeptTable:
    names = [column.attname for column in model._meta.concrete_fields if column.attname not in SECRET]
    said = ({name: said_as_json(value) for name, value in row.items()} for row in rows.values(*names))
    emptied = tuple(column_said(each) for each in model._meta.concrete_fields if each.name in columns)
    return KeptTable(model._meta.label_lower, table_said(model), becomes, emptied, tuple(said))


def mentions_of(traces: Traces) -> Iterator[Mention]:
    """Every text of every table in which one of the traces stands."""
    for model in every_table():
        for key, values in rows_with(model, traces):
            for column, value in values:
                title, label = table_said(model), column_said(column)
                yield Mention(model._meta.label_lower, column.attname, str(key), _around(value, traces), title, label)


def perhaps_of(kept: KeptData) -> tuple[Mention, ...]:
    """Texts with the surname alone, or with what another owner has too: a person must look whom they mean."""
    hints = kept.traces.hints
    named = {(each.table, each.row) for each in kept.mentions}
    named |= {(table.name, str(row["id"])) for table in kept.tables for row in table.rows if "id" in row}
    found = (each for each in mentions_of(hints) if (each.table, each.row) not in named)
    return tuple(islice(found, MOST_HINTS))


def rows_with(model: type[models.Model], traces: Traces) -> Iterator[tuple[Any, list[tuple[Column, Any]]]]:
    """Rows of one table in which a trace stands: the key, and the columns that have one with what they hold."""
    columns = written_columns(model)
    if not columns:
        return
    rows = model._base_manager.order_by("pk").values_list("pk", *(column.attname for column in columns))
    for key, *values in rows.iterator(chunk_size=500):
        found = [(column, value) for column, value in zip(columns, values, strict=True) if value]
        if hits := [(column, value) for column, value in found if traces.in_value(_unfolded(value))]:
            yield key, hits


def _unfolded(value: Any) -> Any:
    """A text of a calendar breaks its lines after 75 bytes, in the middle of a name (RFC 5545, section 3.1)."""
    return value.replace("\r\n ", "") if isinstance(value, str) else value


def _around(value: Any, traces: Traces) -> str:
    text = value if isinstance(value, str) else str(value)
    found = traces.pattern.search(text) if traces.pattern is not None else None
    if found is None:
        return text[: 2 * ROUND]
    return text[max(0, found.start() - ROUND) : found.end() + ROUND]


def _number(key: str) -> int | str:
    return int(key) if key.isdigit() else key
