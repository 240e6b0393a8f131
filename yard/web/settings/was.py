"""What the settings were: each change with its figures, and the way back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from yard.models import YardSettings
from yard.web.history import SHOWN, newest_history, who_did
from yard.web.settings.about import ABOUT, GROUPS, HEIGHT
from yard.web.units import height, height_unit

TABLES = {"weather_limits": "limits of weather", "weather_allowance": "weather allowance"}
KEPT = tuple(name for _, names in GROUPS for name in names)


@dataclass(frozen=True, slots=True)
class WasSet:
    """One change. way_back: its row of the history; 0 for what is set now."""

    at: datetime
    who: str
    why: str
    changes: tuple[str, ...]
    way_back: int


def settings_history(yard: YardSettings) -> tuple[WasSet, ...]:
    """The last twenty changes, the newest first. One query."""
    rows = newest_history(yard, SHOWN + 1)
    return tuple(
        WasSet(
            at=row.history_date,
            who=who_did(row),
            why=row.history_change_reason or "changed",
            changes=_changes(rows[number + 1], row, yard) if number + 1 < len(rows) else (),
            way_back=row.history_id if number else 0,
        )
        for number, row in enumerate(rows[:SHOWN])
    )


def _changes(before: Any, now: Any, yard: YardSettings) -> tuple[str, ...]:
    figures = [
        f"{ABOUT[name].label}: {_words(before, name, yard)} → {_words(now, name, yard)}"
        for name in KEPT
        if getattr(before, name) != getattr(now, name)
    ]
    tables = [
        f"{words}: other figures" for name, words in TABLES.items() if getattr(before, name) != getattr(now, name)
    ]
    return (*figures, *tables)


def _words(row: Any, name: str, yard: YardSettings) -> str:
    value = getattr(row, name)
    if value is None or value == "":
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if ABOUT[name].unit == HEIGHT:
        return f"{height(value, yard):.2f} {height_unit(yard)}"
    choices = dict(getattr(YardSettings._meta.get_field(name), "choices", None) or ())
    return f"{choices.get(value, value)} {ABOUT[name].unit}".strip()
