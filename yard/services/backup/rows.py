"""Rows as lines of JSON that any database gives back alike."""

from __future__ import annotations

import base64
import json
from collections.abc import Iterator
from datetime import date, datetime, time
from decimal import Decimal
from hashlib import sha256
from typing import Any
from uuid import UUID

from django.apps.registry import Apps
from django.db.models import BinaryField, Model
from django.utils.translation import gettext as _

KEPT_APPS = ("auth", "otp_totp", "yard")
NOT_KEPT = frozenset(
    {
        *("auth.permission", "auth.group_permissions", "auth.user_user_permissions"),
        *("yard.workerlease", "yard.lastbackup"),
    }
)
"""Made by the program itself; rights here come from roles. Sessions, tries to sign in and the queue of background work
are not kept either, nor who worked on it: nobody stays signed in, and nothing that was begun is begun again by itself.
"""
MADE_WITH_THE_TABLES = frozenset({"auth.group", "yard.factsrevision"})
"""What a new database holds before anybody wrote into it."""
AT_ONCE = 2000
"""Rows read or written together: a few megabytes."""


def kept_models(apps: Apps) -> list[type[Model]]:
    """Every table of the yard and of its accounts, by name; histories and links between rows among them."""
    models = [
        model
        for app in KEPT_APPS
        if app in apps.app_configs  # a backup of an earlier version has no second factors
        for model in apps.get_app_config(app).get_models(include_auto_created=True)
        if model._meta.label_lower not in NOT_KEPT and model._meta.managed and not model._meta.proxy
    ]
    return sorted(models, key=name_of)


def name_of(model: type[Model]) -> str:
    """What its lines are called in the file: yard.boat"""
    return model._meta.label_lower


def columns_of(model: type[Model]) -> list[Any]:
    """What is kept of each row, as Django's fields: a relation is the key of the row that it points at."""
    return list(model._meta.concrete_fields)


def lines_of(model: type[Model]) -> Iterator[bytes]:
    """The rows of a table as lines of JSON, by key. Memory stays that of a few thousand rows."""
    columns = columns_of(model)
    names = [column.attname for column in columns]
    rows = model._base_manager.order_by("pk").values_list(*names)
    for row in rows.iterator(chunk_size=AT_ONCE):
        said = {name: said_as_json(value) for name, value in zip(names, row, strict=True)}
        yield json.dumps(said, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False).encode()


def said_as_json(value: Any) -> Any:
    """A value as JSON: days and times by ISO 8601 in UTC, keys and exact numbers as text, bytes by base 64."""
    match value:
        case datetime() | date() | time():
            return value.isoformat()
        case UUID() | Decimal():
            return str(value)
        case bytes() | memoryview():
            return base64.b64encode(bytes(value)).decode()
    return value


def row_of(model: type[Model], line: bytes) -> Model:
    """The row that a line says, not saved.

    Raises ValueError for a line that is no object of just this table's columns, ValidationError for a value that the
    column cannot hold.
    """
    said = json.loads(line)
    columns = columns_of(model)
    if not isinstance(said, dict) or said.keys() != {column.attname for column in columns}:
        raise ValueError(_("it does not have this table's columns"))
    return model(**{column.attname: _read(column, said[column.attname]) for column in columns})


def _read(column: Any, value: Any) -> Any:
    if value is None:
        return None
    if isinstance(column, BinaryField):
        return base64.b64decode(value)
    return (column.target_field if column.is_relation else column).to_python(value)


class Digest:
    """Of lines in any order: databases sort text by rules of their own."""

    def __init__(self) -> None:
        self.rows = 0
        self._sum = 0

    def add(self, line: bytes) -> None:
        self.rows += 1
        self._sum = (self._sum + int.from_bytes(sha256(line).digest())) % 2**256

    @property
    def text(self) -> str:
        return f"{self._sum:064x}"
