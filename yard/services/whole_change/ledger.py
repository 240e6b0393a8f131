"""Writes rows and keeps what each was and is, so that all of it can be taken back."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.apps import apps
from django.db import models

from yard.services.pen import Pen

NAMES = {"boat", "owner"}
"""Fields by which a row only names a boat or an owner anew: two on file that were one."""


@dataclass(frozen=True)
class Ledger:
    """The rows of one change, in the order in which they were written. The shape is that of WholeChange.rows."""

    pen: Pen
    rows: list[dict[str, Any]] = field(default_factory=list)

    def change(self, row: Any, **fields: Any) -> None:
        """Write these fields of a row that is on file; nothing where they are as said already."""
        new = {name: value for name, value in fields.items() if getattr(row, name) != value}
        if not new:
            return
        before = values_of(row, new)
        for name, value in new.items():
            setattr(row, name, value)
        self.pen.sign(row)
        row.only_named_anew = set(new) <= NAMES  # read by yard.models.season_gate
        row.save()
        self._note(row, before, values_of(row, new))

    def remove(self, row: Any) -> None:
        """Delete a row that says again what another one says."""
        before = values_of(row, [each.name for each in row._meta.concrete_fields if not each.primary_key])
        self._note(row, before, None)
        self.pen.sign(row)
        row.delete()

    def make(self, rows: Sequence[Any]) -> None:
        """Write new rows of one model."""
        for row in rows:
            self.pen.sign(row)
            row.save()
            self.made(row)

    def made(self, row: Any) -> None:
        """Note a row that was just made."""
        self._note(row, None, {"version": getattr(row, "version", None)})

    def _note(self, row: models.Model, before: dict[str, Any] | None, after: dict[str, Any] | None) -> None:
        self.rows.append({"model": type(row).__name__, "pk": row.pk, "before": before, "after": after})


def values_of(row: models.Model, names: Iterable[str]) -> dict[str, Any]:
    """Values of fields as JSON keeps them; of a relation, the id."""
    plain: dict[str, Any] = json.loads(
        json.dumps({n: getattr(row, _field(row, n).attname) for n in names}, default=_say)
    )
    return plain


def put(row: models.Model, values: Mapping[str, Any]) -> None:
    """Set fields to values as JSON keeps them; the row is not saved."""
    for name, value in values.items():
        of = _field(row, name)
        plain = of.target_field if isinstance(of, models.ForeignKey) else of
        setattr(row, of.attname, None if value is None else plain.to_python(value))


def model_named(name: str) -> Any:
    return apps.get_model("yard", name)


def _field(row: models.Model, name: str) -> models.Field[Any, Any]:
    found = row._meta.get_field(name)
    assert isinstance(found, models.Field)
    return found


def _say(value: object) -> str:
    """Days and moments in ISO 8601, to the microsecond."""
    match value:
        case datetime() | date():
            return value.isoformat()
        case UUID():
            return str(value)
    raise TypeError(f"{value!r} is no value of a row")
