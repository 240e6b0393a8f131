"""Who, when and why: what the history of a row tells of each change of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.contrib.auth.models import User
from django.db import models
from simple_history.utils import bulk_create_with_history

from yard.models import demand_open_seasons

REASON_LENGTH = 100
"""As much as a row of history keeps."""
AT_ONCE = 200


def sign(row: Any, *, by: User | None, now: datetime, reason: str) -> None:
    """What simple_history reads off the row when it is next saved or deleted."""
    row._history_user, row._history_date, row._change_reason = by, now, reason[:REASON_LENGTH]


def insert(rows: Sequence[models.Model], *, by: User | None, now: datetime, reason: str) -> None:
    """New rows of one model with their history; a row that is signed already keeps its signature.

    Raises SeasonClosed for rows of a season that is closed.
    """
    if rows:
        demand_open_seasons(rows)
        bulk_create_with_history(
            rows,
            type(rows[0]),
            batch_size=AT_ONCE,
            default_user=by,
            default_date=now,
            default_change_reason=reason[:REASON_LENGTH],
        )


@dataclass(frozen=True)
class Pen:
    """Writes the rows of one happening with one signature. today: the yard's date."""

    by: User | None
    now: datetime
    today: date
    reason: str

    def write(self, rows: Sequence[models.Model]) -> None:
        """Insert rows of one model with their history."""
        insert(rows, by=self.by, now=self.now, reason=self.reason)

    def sign(self, row: Any) -> None:
        sign(row, by=self.by, now=self.now, reason=self.reason)
