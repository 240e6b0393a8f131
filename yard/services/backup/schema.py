"""What each line of a backup may hold, as JSON Schema (draft 2020-12), read off the models."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import models

from yard.services.backup.rows import columns_of, name_of

DIALECT = "https://json-schema.org/draft/2020-12/schema"
Kind = type[models.Field[Any, Any]]
TYPES: tuple[tuple[Kind, dict[str, Any]], ...] = (
    (models.BooleanField, {"type": "boolean"}),
    (models.DateTimeField, {"type": "string", "format": "date-time"}),
    (models.DateField, {"type": "string", "format": "date"}),
    (models.TimeField, {"type": "string", "format": "time"}),
    (models.UUIDField, {"type": "string", "format": "uuid"}),
    (models.DecimalField, {"type": "string", "pattern": r"^-?\d+(\.\d+)?$"}),
    (models.BinaryField, {"type": "string", "contentEncoding": "base64"}),
    (models.JSONField, {}),
    (models.FloatField, {"type": "number"}),
    (models.IntegerField, {"type": "integer"}),
    (models.CharField, {"type": "string"}),
    (models.TextField, {"type": "string"}),
    (models.FileField, {"type": "string"}),
)
"""The first that fits; a day and time is a day to Python as well."""


def schema_of(kept: Iterable[type[models.Model]]) -> dict[str, Any]:
    """One definition for each table, under the name of its file of lines."""
    return {
        "$schema": DIALECT,
        "title": "The lines of a yard's backup: one JSON object a line, a file for each definition",
        "$defs": {name_of(model): _table(model) for model in kept},
    }


def _table(model: type[models.Model]) -> dict[str, Any]:
    columns = {column.attname: _column(column) for column in columns_of(model)}
    return {
        "title": str(model._meta.verbose_name),
        "type": "object",
        "properties": columns,
        "required": sorted(columns),
        "additionalProperties": False,
    }


def _column(column: Any) -> dict[str, Any]:
    held = column.target_field if column.is_relation else column
    said = dict(next(said for kind, said in TYPES if isinstance(held, kind)))
    if column.null and "type" in said:
        said["type"] = [said["type"], "null"]
    if column.is_relation and column.related_model:
        said["description"] = f"key of a line of {name_of(column.related_model)}"
    elif text := str(column.help_text):
        said["description"] = text
    return said
