"""The form of one row that is kept: measures as they are typed, what differs from what somebody else saved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, ClassVar, cast
from uuid import UUID, uuid4

from django import forms
from django.http import QueryDict

from yard.models import YardSettings
from yard.services.keeping import Keeper, Refused, words_for
from yard.sheets.columns import CellRefused, Column
from yard.sheets.measures import angle
from yard.sheets.writing import in_words
from yard.web.changes.boat_form import MeasureField
from yard.web.history import SHOWN, newest_history, who_did
from yard.web.orders.form import DayField

EARLIEST_YEAR, YEARS_AHEAD = 1980, 10
"""Beyond these a year was mistyped (common practice)."""
NOTHING = "–"


class AngleField(forms.CharField):
    """A latitude or longitude as typed; cleaned to degrees, None where it is empty."""

    def __init__(self, column: Column, **more: Any) -> None:
        attrs = {"class": "field num", "autocomplete": "off"}
        super().__init__(max_length=40, widget=forms.TextInput(attrs=attrs), **more)
        self.column = column

    def clean(self, value: Any) -> float | None:
        text = super().clean(value).strip()
        try:
            return round(angle(text, self.column), 7) if text else None
        except CellRefused as refused:
            raise forms.ValidationError(f"{refused.wrong.capitalize()}: {refused.remedy}.") from refused


class FactDayField(DayField):
    """A day on which something was done or ends, in a year that can be."""

    def __init__(self, label: str, *, today: date, **more: Any) -> None:
        super().__init__(label, **more)
        self.today = today

    def clean(self, value: Any) -> Any:
        day: date | None = super().clean(value)
        if day and not EARLIEST_YEAR <= day.year <= self.today.year + YEARS_AHEAD:
            raise forms.ValidationError(f"The year {day.year} cannot be right: it is {self.today.year} now.")
        return day


class RowForm(forms.ModelForm):  # type: ignore[type-arg]  # Django does not subscript it at run time
    """What is known of a row. version: the row's, when the page was read; form_key: sent twice, it is one row.

    measures, angles, days: fields that are typed so, by key; each subclass says which keeper writes its fields.
    """

    keeper: ClassVar[Keeper[Any]]
    measures: ClassVar[Mapping[str, Column]] = {}
    angles: ClassVar[Mapping[str, Column]] = {}
    days: ClassVar[tuple[str, ...]] = ()

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    form_key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(
        self, data: Any = None, *, yard: YardSettings, today: date, row: Any = None, initial: Any = None
    ) -> None:
        super().__init__(data, instance=row, initial=initial)
        self.today = today
        self.feet = yard.units == YardSettings.Units.FEET
        self.fields["version"].initial = row.version if row is not None else None
        self.fields["form_key"].initial = uuid4()
        self._typed_fields(row)
        for field in self.fields.values():
            if not isinstance(field.widget, forms.CheckboxInput | forms.HiddenInput):
                field.widget.attrs.setdefault("class", "field")
            if isinstance(field.widget, forms.Textarea):
                field.widget.attrs["rows"] = 3
            if isinstance(field, forms.TypedChoiceField):
                pairs: Any = field.choices
                field.choices = [(value, label if value else "not said") for value, label in pairs]

    def _typed_fields(self, row: Any) -> None:
        for key, column in self.measures.items():
            field = MeasureField(column, feet=self.feet, required=False)
            field.label = f"{words_for(key).capitalize()}, {field.bare}"
            field.initial = self.shown(row, key)
            self.fields[key] = field
        for key, column in self.angles.items():
            self.fields[key] = AngleField(
                column, required=False, label=words_for(key).capitalize(), initial=self.shown(row, key)
            )
        for key in self.days:
            self.fields[key] = FactDayField(
                words_for(key).capitalize(), today=self.today, initial=getattr(row, key, None)
            )

    def shown(self, row: Any, key: str) -> str:
        """A measure or an angle as the form shows it; "" where it is not known."""
        value = getattr(row, key, None)
        if value is None:
            return ""
        return degrees(value) if key in self.angles else in_words(self.measures[key], value, feet=self.feet)

    def _post_clean(self) -> None:
        """The service checks and writes; the form leaves the row alone."""

    def key(self) -> UUID | None:
        """The form's own, whichever way it was sent."""
        found: UUID | None = self.cleaned_data["form_key"]
        return found

    def values(self, row: Any = None) -> dict[str, Any]:
        """What was typed. A measure left as it was shown keeps what is on file: what is shown is rounded."""
        values = {key: self.cleaned_data[key] for key in self.keeper.fields if key in self.cleaned_data}
        for key in (*self.measures, *self.angles):
            if row is not None and key in values and str(self.data.get(key, "")).strip() == self.shown(row, key):
                values[key] = getattr(row, key)
        return values

    def show_over(self, stored: Any) -> None:
        """Keep what was typed; the next Save has seen the row as it stands on file now."""
        self.data = {**cast(QueryDict, self.data).dict(), "version": stored.version}

    def refuse(self, refused: Refused) -> None:
        for key, words in refused.words.items():
            for each in words:
                self.add_error(key if key in self.fields else None, each)

    def differing(self, values: Mapping[str, Any], stored: Any) -> tuple[Differing, ...]:
        """Where what was typed is other than what somebody else saved meanwhile."""
        return differing(values, stored, Sayer(self.measures, feet=self.feet))


def degrees(value: float) -> str:
    """To the sixth decimal, a tenth of a metre."""
    return f"{value:.6f}".rstrip("0").rstrip(".")


@dataclass(frozen=True, slots=True)
class Differing:
    label: str
    yours: str
    theirs: str


@dataclass(frozen=True)
class Sayer:
    """Says fields of rows, and of rows of their history, as a person reads them."""

    measures: Mapping[str, Column]
    feet: bool

    def of(self, row: Any, key: str) -> str:
        return self.value(row, key, getattr(row, self._plain(row, key)))

    def value(self, row: Any, key: str, value: Any) -> str:
        """A value of that field of such a row. A relation of a history is its id: the row is looked for."""
        field = row._meta.get_field(key)
        if value is None or value == "":
            return NOTHING
        if key in self.measures:
            return in_words(self.measures[key], value, feet=self.feet)
        if isinstance(value, bool):
            return "yes" if value else "no"
        if field.is_relation:
            pk = getattr(value, "pk", value)
            return str(field.related_model._default_manager.filter(pk=pk).first() or "no longer on file")
        if isinstance(value, date):
            return f"{value.day} {value:%b %Y}"
        if isinstance(value, float):
            return degrees(value)
        return str(dict(field.choices or ()).get(value, value))

    def _plain(self, row: Any, key: str) -> str:
        return str(row._meta.get_field(key).attname)


def differing(values: Mapping[str, Any], stored: Any, say: Sayer) -> tuple[Differing, ...]:
    both = ((key, say.value(stored, key, value), say.of(stored, key)) for key, value in values.items())
    return tuple(Differing(words_for(key), yours, theirs) for key, yours, theirs in both if yours != theirs)


@dataclass(frozen=True, slots=True)
class Was:
    """One row of a history: what changed then, from what to what. way_back: 0 for the row that is true now."""

    at: datetime
    who: str
    why: str
    changes: tuple[str, ...]
    way_back: int


def history_of(row: Any, fields: tuple[str, ...], say: Sayer) -> tuple[Was, ...]:
    """The last twenty changes, the newest first. One query, and one for each relation that changed."""
    rows = newest_history(row, SHOWN + 1)
    before: list[Any] = [*rows[1:], None]
    return tuple(
        Was(
            at=past.history_date,
            who=who_did(past),
            why=past.history_change_reason or ("changed" if was else "added"),
            changes=_changes(was, past, fields, say) if was else (),
            way_back=past.history_id if number else 0,
        )
        for number, (past, was) in enumerate(zip(rows, before, strict=True))
    )[:SHOWN]


def _changes(was: Any, past: Any, fields: tuple[str, ...], say: Sayer) -> tuple[str, ...]:
    changed = [key for key in fields if _plainly(was, key) != _plainly(past, key)]
    return tuple(f"{words_for(key)}: {say.of(was, key)} → {say.of(past, key)}" for key in changed)


def _plainly(row: Any, key: str) -> Any:
    return getattr(row, row._meta.get_field(key).attname)
