"""What was done to a row: when, by whom and why, as pages list it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

SHOWN = 20


@dataclass(frozen=True)
class Change:
    """One change of a row, in words."""

    at: datetime
    who: str
    what: str


def changes_of(row: Any) -> tuple[Change, ...]:
    """The last twenty changes of a row with a history, the newest first. One query."""
    rows = row.history.select_related("history_user").order_by("-history_date", "-history_id")[:SHOWN]
    return tuple(
        Change(
            at=each.history_date,
            who=(each.history_user.first_name or each.history_user.username) if each.history_user else "the yard",
            what=each.history_change_reason or "changed",
        )
        for each in rows
    )
