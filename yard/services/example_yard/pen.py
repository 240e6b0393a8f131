"""How the example's rows are written: many at once, each with its history."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import TypeVar
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.db import models
from simple_history.utils import bulk_create_with_history, bulk_update_with_history

Row = TypeVar("Row", bound=models.Model)
BATCH = 200


@dataclass(frozen=True)
class Pen:
    """Writes rows with the moment and the person that their history tells."""

    by: User | None
    zone: ZoneInfo
    space: uuid.UUID
    reason: str = "the example yard"

    def insert(self, rows: Sequence[Row], at: datetime) -> list[Row]:
        """Insert rows of one model; those without a history are simply inserted."""
        if not rows:
            return []
        model = type(rows[0])
        if hasattr(model, "history"):
            return list(
                bulk_create_with_history(
                    rows,
                    model,
                    batch_size=BATCH,
                    default_user=self.by,
                    default_date=at,
                    default_change_reason=self.reason,
                )
            )
        return model._default_manager.bulk_create(rows, batch_size=BATCH)

    def update(self, rows: Sequence[Row], fields: Sequence[str], at: datetime) -> None:
        """Update rows of one model; a row that counts its versions counts one more."""
        if not rows:
            return
        model, changed = type(rows[0]), list(fields)
        for row in rows:
            if hasattr(row, "version"):
                row.version += 1
        if hasattr(rows[0], "version"):
            changed.append("version")
        if hasattr(model, "history"):
            bulk_update_with_history(
                rows,
                model,
                changed,
                batch_size=BATCH,
                default_user=self.by,
                default_date=at,
                default_change_reason=self.reason,
            )
        else:
            model._default_manager.bulk_update(rows, changed, batch_size=BATCH)

    def moment(self, day: date, at: time) -> datetime:
        """The instant of a local time of the yard."""
        return datetime.combine(day, at, self.zone).astimezone(ZoneInfo("UTC"))

    def uid(self, name: str) -> uuid.UUID:
        """A name for ever that follows from the size, the seed and this name."""
        return uuid.uuid5(self.space, name)


def next_day(day: date) -> date:
    return day + timedelta(days=1)
