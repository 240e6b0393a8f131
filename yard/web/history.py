"""What was done to a row: when, by whom and why, as pages list it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from yard.queries.accounts import called

SHOWN = 20


@dataclass(frozen=True)
class Change:
    """One change of a row, in words."""

    at: datetime
    who: str
    what: str


def newest_history(row: Any, count: int = SHOWN) -> list[Any]:
    """The newest rows of its history, newest first, with who made them at hand. One query."""
    return list(row.history.select_related("history_user").order_by("-history_date", "-history_id")[:count])


def who_did(past: Any) -> str:
    """Who made a change that a row of history tells of."""
    return called(past.history_user, nobody=_("the yard"))


def changes_of(row: Any) -> tuple[Change, ...]:
    """The last twenty changes of a row with a history, the newest first. One query."""
    return tuple(
        Change(
            at=each.history_date,
            who=who_did(each),
            what=each.history_change_reason or _("changed"),
        )
        for each in newest_history(row)
    )
