"""What is kept of a row, and of rows of its history, as a person reads it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from django.utils.translation import gettext as _

from yard.day_names import said
from yard.services.keeping import Keeper
from yard.sheets.columns import Column
from yard.sheets.writing import in_words
from yard.web.history import SHOWN, newest_history, who_did

NOTHING = "–"


@dataclass(frozen=True)
class Sayer:
    """Says values by key of a keeper. measures: those typed with a unit; says: what needs words of its own.

    labels: what a field is called on its page, where that is not the keeper's word for it.
    """

    keeper: Keeper[Any]
    feet: bool
    measures: Mapping[str, Column] = field(default_factory=dict)
    says: Mapping[str, Callable[[Any], str]] = field(default_factory=dict)
    labels: Mapping[str, str] = field(default_factory=dict)

    def label(self, key: str) -> str:
        return self.labels.get(key) or self.keeper.words_for(key)

    def of(self, row: Any, key: str) -> str:
        """A field of a row, or of a row of its history."""
        return self.value(key, getattr(row, self.keeper.column(key)))

    def value(self, key: str, value: Any) -> str:
        """A value as the keeper reads it. A relation is its id: the row is looked for."""
        if key in self.says:
            return self.says[key](value) or NOTHING
        if value is None or value == "":
            return NOTHING
        if key in self.measures:
            return in_words(self.measures[key], value, feet=self.feet)
        if isinstance(value, bool):
            return _("yes") if value else _("no")
        of: Any = self.keeper.model._meta.get_field(key)
        if of.is_relation:
            return str(of.related_model._default_manager.filter(pk=value).first() or _("no longer on file"))
        if isinstance(value, date):
            return day_words(value)
        if isinstance(value, float):
            return degrees(value)
        return str(dict(of.choices or ()).get(value, value))


def degrees(value: float) -> str:
    """To the sixth decimal, a tenth of a metre."""
    return f"{value:.6f}".rstrip("0").rstrip(".")


def day_words(day: date) -> str:
    """3 May 2027"""
    return said(day, "j M Y")


@dataclass(frozen=True, slots=True)
class Differing:
    """A field in which what was typed is other than what somebody else saved meanwhile."""

    label: str
    yours: str
    theirs: str


def differing(values: Mapping[str, Any], stored: Any, say: Sayer) -> tuple[Differing, ...]:
    """Where the typed values differ from what is on file now."""
    theirs = say.keeper.read(stored)
    both = (
        (key, say.value(key, value), say.value(key, theirs[key])) for key, value in say.keeper.plain(values).items()
    )
    return tuple(Differing(say.label(key), yours, on_file) for key, yours, on_file in both if yours != on_file)


@dataclass(frozen=True, slots=True)
class Was:
    """One row of a history: what changed then, from what to what. back: where to post to go back to it; "" for the
    row that is true now."""

    at: datetime
    who: str
    why: str
    changes: tuple[str, ...]
    back: str


def history_of(row: Any, say: Sayer, back: Callable[[int], str]) -> tuple[Was, ...]:
    """The last twenty changes, the newest first. back: the address of the way back to a row of the history.

    One query, one or two for each kind of rows beside, and one for each relation that changed.
    """
    rows = newest_history(row, SHOWN + 1)
    kept = say.keeper.was(rows)
    before: list[Any] = [*kept[1:], None]
    return tuple(
        Was(
            at=past.history_date,
            who=who_did(past),
            why=past.history_change_reason or (_("changed") if was else _("added")),
            changes=_changes(was, now, say) if was else (),
            back=back(past.history_id) if number else "",
        )
        for number, (past, now, was) in enumerate(zip(rows, kept, before, strict=True))
    )[:SHOWN]


def _changes(was: Mapping[str, Any], now: Mapping[str, Any], say: Sayer) -> tuple[str, ...]:
    changed = [key for key in say.keeper.keys if was[key] != now[key]]
    both = [(say.label(key), say.value(key, was[key]), say.value(key, now[key])) for key in changed]
    other = _("other figures")
    return tuple(f"{label}: {f'{old} → {new}' if old != new else other}" for label, old, new in both)
