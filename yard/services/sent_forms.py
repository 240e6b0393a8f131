"""Which row a form added: it is found again when the same form comes a second time."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import models

from yard.models import SentForm


def digest_of(model: type[models.Model], values: Mapping[str, Any]) -> str:
    """A digest of what a form says of a new row: the same for the same values, whatever their order."""
    plain = json.dumps([model.__name__, sorted(values.items())], default=_plain)
    return hashlib.blake2b(plain.encode(), digest_size=16).hexdigest()


def added_before(model: Any, key: UUID, said: str) -> Any:
    """The row that this form added, None where it did not, or where that row is no longer on file."""
    sent = SentForm.objects.filter(key=key, said=said).first()
    return model._default_manager.filter(pk=sent.row).first() if sent is not None else None


def remember(row: models.Model, key: UUID, said: str, now: datetime) -> None:
    """Call it in the transaction that adds the row."""
    found = {"model": type(row).__name__, "row": row.pk, "sent_at": now}
    SentForm.objects.update_or_create(key=key, said=said, defaults=found)


def _plain(value: object) -> Any:
    """Rows by their id, sets in order, all else as Python writes it."""
    match value:
        case models.Model():
            return value.pk
        case set() | frozenset():
            return sorted(value)
    return repr(value)
