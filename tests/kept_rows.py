"""Rows that take seconds to make: made once in a run, kept as values, and put back wherever they are asked for."""

from __future__ import annotations

import os
import pickle
from collections.abc import Callable, Hashable, Iterable
from datetime import time
from pathlib import Path
from typing import Any

from django.apps import apps
from django.core.management.color import no_style
from django.db import connection, models, transaction

Rows = dict[str, list[tuple[Any, ...]]]


class KeptRows:
    """What each way of making a yard left in the database, by the name of that way.

    shared: a folder in which the other processes of this run look, too, before they make the same.
    """

    def __init__(self, shared: Path | None = None) -> None:
        self._made: dict[str, tuple[Rows, Hashable]] = {}
        self._shared = shared

    def there(self, name: str, make: Callable[[], Hashable]) -> Any:
        """The rows that `make` makes are there, and nothing else; gives what it gave.

        `make` begins with an empty yard, and gives a plain value: rows are others' business as soon as they are put
        back. The caller's transaction takes all of it away.
        """
        if name not in self._made and (others := self._of_others(name)) is not None:
            self._made[name] = others
        if name in self._made:
            rows, given = self._made[name]
            put_back(rows)
            return given
        given = make()
        self._made[name] = all_rows(), given
        self._share(name)
        return given

    def _file(self, name: str) -> Path | None:
        return None if self._shared is None else self._shared / f"{connection.vendor} {name}.pickle"

    def _of_others(self, name: str) -> tuple[Rows, Hashable] | None:
        file = self._file(name)
        if file is None or not file.exists():
            return None
        found: tuple[Rows, Hashable] = pickle.loads(file.read_bytes())
        return found

    def _share(self, name: str) -> None:
        """Whole or not at all: a process that looks meanwhile finds nothing, and makes its own."""
        if (file := self._file(name)) is not None:
            file.parent.mkdir(exist_ok=True)
            part = file.with_suffix(f".{os.getpid()}")
            part.write_bytes(pickle.dumps(self._made[name]))
            part.replace(file)


def all_rows() -> Rows:
    with connection.cursor() as cursor:
        found = {}
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)}")
            found[table] = cursor.fetchall()
        return found


def put_back(rows: Rows) -> None:
    """All tables hold these rows, under their old keys, and new rows get new ones."""
    with transaction.atomic(), connection.cursor() as cursor:
        now = all_rows()
        for table in (table for table in rows if rows[table] != now[table]):
            quoted = connection.ops.quote_name(table)
            cursor.execute(f"DELETE FROM {quoted}")
            if rows[table]:
                places = ", ".join(["%s"] * len(rows[table][0]))
                cursor.executemany(f"INSERT INTO {quoted} VALUES ({places})", map(_as_stored, rows[table]))
        for statement in connection.ops.sequence_reset_sql(no_style(), _models()):
            cursor.execute(statement)


def _as_stored(row: tuple[Any, ...]) -> list[Any]:
    return [connection.ops.adapt_timefield_value(value) if isinstance(value, time) else value for value in row]


def _models() -> Iterable[type[models.Model]]:
    return apps.get_models(include_auto_created=True)
