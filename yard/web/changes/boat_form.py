"""The form of one boat: measures as they are typed, in feet and inches or metres."""

from __future__ import annotations

from typing import Any, cast
from uuid import UUID, uuid4

from django import forms
from django.http import QueryDict

from yard.models import Boat, YardSettings
from yard.services.keep_boat import KEPT_FIELDS
from yard.services.keeping import Refused, words_for
from yard.sheets.columns import CellRefused, Column, Kind
from yard.sheets.measures import measure
from yard.sheets.writing import in_words, unit_of

MEASURES = {
    key: Column(key=key, heading=words_for(key), kind=Kind.MASS if key.endswith("_kg") else Kind.LENGTH)
    for key in ("length_m", "beam_m", "draft_m", "displacement_kg", "mast_height_m")
}
DEEPEST_TO_LENGTH = 0.5
"""A draft over half her length was mistyped (common practice)."""


class MeasureField(forms.CharField):
    """A measure as typed; cleaned to metres or kilograms, None where it is empty."""

    def __init__(self, column: Column, *, feet: bool, **more: Any) -> None:
        attrs = {"class": "field num", "autocomplete": "off"}
        super().__init__(max_length=40, widget=forms.TextInput(attrs=attrs), **more)
        self.column, self.bare = column, unit_of(column, feet=feet)

    def clean(self, value: Any) -> float | None:
        text = super().clean(value).strip()
        try:
            return round(measure(text, self.column, self.bare), 4) if text else None
        except CellRefused as refused:
            raise forms.ValidationError(f"{refused.wrong.capitalize()}: {refused.remedy}.") from refused


class BoatForm(forms.ModelForm):  # type: ignore[type-arg]  # Django does not subscript it at run time
    """What is known of a boat. version: hers, when the page was read. form_key: sent twice, it is one boat."""

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    form_key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    class Meta:
        model = Boat
        fields = ("name", "kind", "design", "sail_number", "planked", "in_a_storm", "notes")

    def __init__(self, data: Any = None, *, yard: YardSettings, boat: Boat | None = None) -> None:
        super().__init__(data, instance=boat)
        self.feet = yard.units == YardSettings.Units.FEET
        self.fields["version"].initial = boat.version if boat else None
        self.fields["form_key"].initial = uuid4()
        self.fields["notes"].widget.attrs["rows"] = 4
        for key, field in self.fields.items():
            if key not in ("planked", "version", "form_key"):
                field.widget.attrs["class"] = "field"
        for key, column in MEASURES.items():
            needed = key in ("length_m", "beam_m")
            field = MeasureField(column, feet=self.feet, required=needed)
            field.label = f"{column.heading.capitalize()}, {field.bare}"
            field.initial = shown(boat, key, feet=self.feet) if boat else ""
            self.fields[key] = field

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        draft, length = cleaned.get("draft_m"), cleaned.get("length_m")
        if draft and length and draft > length * DEEPEST_TO_LENGTH:
            column = MEASURES["draft_m"]
            typed, meant = (in_words(column, each, feet=self.feet) for each in (draft, draft / 10))
            self.add_error("draft_m", f"A draft of {typed}: did you mean {meant}?")
        return cleaned

    def _post_clean(self) -> None:
        """The service checks and writes; the form leaves the row alone."""

    def key(self) -> UUID | None:
        """The form's own, whichever way it was sent."""
        found: UUID | None = self.cleaned_data["form_key"]
        return found

    def values(self, boat: Boat | None = None) -> dict[str, Any]:
        """What was typed. A measure left as it was shown keeps what is on file: what is shown is rounded."""
        values = {key: self.cleaned_data[key] for key in KEPT_FIELDS}
        for key in MEASURES:
            if boat is not None and str(self.data.get(key, "")).strip() == shown(boat, key, feet=self.feet):
                values[key] = getattr(boat, key)
        return values

    def show_over(self, stored: Boat) -> None:
        """Keep what was typed; the next Save has seen her as she stands on file now."""
        self.data = {**cast(QueryDict, self.data).dict(), "version": stored.version}

    def refuse(self, refused: Refused) -> None:
        for key, words in refused.words.items():
            for each in words:
                self.add_error(key if key in self.fields else None, each)


def shown(boat: Boat, key: str, *, feet: bool) -> str:
    """A measure as the form shows it; "" where it is not known."""
    value = getattr(boat, key)
    return "" if value is None else in_words(MEASURES[key], value, feet=feet)
