"""A form over a row that is kept with version and history, and what its page says of two people and of before."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, time
from typing import Any, ClassVar, cast

from django import forms
from django.http import QueryDict

from yard.models import YardSettings
from yard.services.keep_row import Book, Refused
from yard.sheets.columns import CellRefused, Column
from yard.sheets.hours import week, week_in_words
from yard.sheets.writing import in_words
from yard.web.changes.boat_form import MeasureField
from yard.web.history import SHOWN, newest_history, who_did

DATE: dict[str, Any] = {"widget": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), "required": False}
WEEK_HINT = "As Mon-Fri 07:00-12:00, 12:30-15:30; Sat 08:00-12:00, on the quarter of an hour."
WeekHours = tuple[tuple[int, time, time], ...]


class WeekField(forms.CharField):
    """Usual hours of a week in one line; cleaned to (weekday, starts, ends), Monday 0."""

    def __init__(self, **more: Any) -> None:
        super().__init__(required=False, max_length=400, widget=forms.Textarea(attrs={"rows": 2}), **more)

    def clean(self, value: Any) -> WeekHours:
        text = super().clean(value).strip()
        try:
            lines = [one.split() for one in week(text)] if text else []
        except CellRefused as refused:
            raise forms.ValidationError(f"{refused.wrong.capitalize()}: {refused.remedy}.") from refused
        found = tuple((int(day), time.fromisoformat(starts), time.fromisoformat(ends)) for day, starts, ends in lines)
        for _, starts, ends in found:
            if wrong := next((each for each in (starts, ends) if each.minute % 15), None):
                raise forms.ValidationError(f"{wrong:%H:%M} is not on a quarter of an hour: use :00, :15, :30 or :45.")
        return found


def week_words(hours: WeekHours) -> str:
    """The same line again; "" for none."""
    return week_in_words(tuple(f"{day} {starts:%H:%M} {ends:%H:%M}" for day, starts, ends in hours)) if hours else ""


class HoursField(forms.FloatField):
    """A length of time in hours, by the quarter; cleaned to minutes. empty_min: what an empty field means."""

    def __init__(self, *, most_h: float, empty_min: int = 0, **more: Any) -> None:
        super().__init__(required=False, min_value=0, widget=forms.NumberInput(attrs={"step": "0.25"}), **more)
        self.most_h, self.empty_min = most_h, empty_min

    def clean(self, value: Any) -> Any:
        hours = super().clean(value)
        if hours is None:
            return self.empty_min
        if hours > self.most_h:
            raise forms.ValidationError(f"{hours:g} h is more than {self.most_h:g}: was it typed in minutes?")
        if hours * 4 % 1:
            raise forms.ValidationError(f"{hours:g} h is no whole number of quarters: use .25, .5 or .75.")
        return round(hours * 60)


@dataclass(frozen=True, slots=True)
class Line:
    """A field on its page: its hint, whether it takes the whole width or is a tick."""

    field: forms.BoundField
    hint: str
    wide: bool
    tick: bool

    @property
    def may_be_empty(self) -> bool:
        """Whether to say so: a hint says it better."""
        return not self.hint


class KeptForm(forms.Form):
    """Fields named as the keys of its book. version: the row's, when the page was read.

    groups: (legend, names) in the page's order. hints: by name, in the trade's words. extra_after: the group after
    which the template has more.
    """

    book: ClassVar[Book[Any]]
    measures: ClassVar[Mapping[str, Column]] = {}
    groups: ClassVar[Sequence[tuple[str, tuple[str, ...]]]] = ()
    hints: ClassVar[Mapping[str, str]] = {}
    wide: ClassVar[frozenset[str]] = frozenset({"notes", "hours"})
    extra_after: ClassVar[str] = ""

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, data: Any = None, *, yard: YardSettings, row: Any = None, initial: Any = None) -> None:
        self.feet = yard.units == YardSettings.Units.FEET
        self.row = row
        kept = self.shown(self.book.read(row)) | {"version": row.version} if row is not None else {}
        super().__init__(data, initial=kept | dict(initial or {}))
        for key, column in self.measures.items():
            field = MeasureField(column, feet=self.feet, required=False)
            field.label = f"{column.heading.capitalize()}, {field.bare}"
            self.fields[key] = field
        self.build()
        for key, each in self.fields.items():
            if not isinstance(each.widget, forms.HiddenInput | forms.CheckboxInput | forms.CheckboxSelectMultiple):
                each.widget.attrs.setdefault("class", "field")
            if key in self.hints and not each.help_text:
                each.widget.attrs["aria-describedby"] = f"id_{key}-hint"

    def build(self) -> None:
        """Fields that only the rows on file tell."""

    def shown(self, values: Mapping[str, Any]) -> dict[str, Any]:
        """What is kept of a row, as the fields show it."""
        return {key: self._measured(key, value) if key in self.measures else value for key, value in values.items()}

    def _measured(self, key: str, value: float | None) -> str:
        return "" if value is None else in_words(self.measures[key], value, feet=self.feet)

    def values(self) -> dict[str, Any]:
        """What was typed, by key of the book. A measure left as it was shown keeps what is on file: it is rounded."""
        values = {key: self.cleaned_data[key] for key in self.book.keys if key in self.cleaned_data}
        for key in self.measures:
            if self.row is not None and str(self.data.get(key, "")).strip() == (self.initial.get(key) or ""):
                values[key] = getattr(self.row, key)
        return values

    def show_over(self, stored: Any) -> None:
        """Keep what was typed; the next Save has seen the row as it stands on file now."""
        data = cast(QueryDict, self.data).copy()
        data["version"] = str(stored.version)
        self.data = data

    def refuse(self, refused: Refused) -> None:
        for key, words in refused.words.items():
            for each in words:
                self.add_error(key if key in self.fields else None, each)

    def lines(self) -> list[tuple[str, list[Line]]]:
        """The groups of the page with their fields; a field that this person may not see is not there."""
        return [(legend, [self._line(name) for name in names if name in self.fields]) for legend, names in self.groups]

    def _line(self, name: str) -> Line:
        tick = isinstance(self.fields[name].widget, forms.CheckboxInput)
        return Line(self[name], self.hints.get(name, ""), name in self.wide, tick)

    def words_of(self, key: str, value: Any) -> str:
        """A value of the book as a person reads it; "–" for none."""
        if key in self.measures:
            return in_words(self.measures[key], value, feet=self.feet) if value is not None else "–"
        if isinstance(value, bool):
            return "yes" if value else "no"
        if key.endswith("_min") and isinstance(value, int):
            return f"{value / 60:g} h"
        if key == "hours":
            return week_words(value) or "–"
        choices = dict(getattr(self.book.model._meta.get_field(key), "choices", None) or ())
        return str(choices.get(value, "" if value is None else value)) or "–"


@dataclass(frozen=True, slots=True)
class Differing:
    """A field in which what was typed is other than what somebody else saved meanwhile."""

    label: str
    yours: str
    theirs: str


def differing(form: KeptForm, values: Mapping[str, Any], stored: Any) -> tuple[Differing, ...]:
    """Where the typed values differ from what is on file now."""
    theirs = form.book.read(stored)
    return tuple(
        Differing(form.book.words_for(key), form.words_of(key, value), form.words_of(key, theirs[key]))
        for key, value in values.items()
        if value != theirs[key]
    )


@dataclass(frozen=True, slots=True)
class Was:
    """One row of the history: what changed then, from what to what. way_back: 0 for the row that is true now."""

    at: datetime
    who: str
    why: str
    changes: tuple[str, ...]
    way_back: int


def history_of(form: KeptForm, row: Any) -> tuple[Was, ...]:
    """The last twenty changes, the newest first."""
    rows = newest_history(row, SHOWN + 1)
    kept = form.book.was(rows)
    found = []
    for number, past in enumerate(rows):
        before = kept[number + 1] if number + 1 < len(rows) else None
        changes = _changes(form, before, kept[number]) if before is not None else ()
        why = past.history_change_reason or ("changed" if before is not None else "added")
        found.append(Was(past.history_date, who_did(past), why, changes, past.history_id if number else 0))
    return tuple(found[:SHOWN])


def _changes(form: KeptForm, before: Mapping[str, Any], now: Mapping[str, Any]) -> tuple[str, ...]:
    words: Callable[[str, Any], str] = form.words_of
    return tuple(
        f"{form.book.words_for(key)}: {words(key, before[key])} → {words(key, now[key])}"
        for key in form.book.keys
        if before[key] != now[key]
    )
