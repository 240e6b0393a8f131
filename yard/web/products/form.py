"""The form of a product's data sheet, in the yard's degrees; waits as people type them."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from yard.models import ProductKind, ProductSheet, ProductWait, YardSettings
from yard.services.product_sheets import Wait
from yard.web.number_fields import NumberField
from yard.web.packages.hours import MinutesField
from yard.web.packages.job_form import dress
from yard.web.refusal import Refusable

TEMPERATURES = ("min_temp_c", "max_temp_c", "planned_temp_c")
SPREAD = "min_dew_spread_c"
PLAIN = (
    "kind",
    "name",
    "source",
    "read_on",
    "notes",
    "max_humidity_pct",
    "overcoat_max_min",
    "max_wait_min",
    "archived",
)


def degrees(celsius: float, yard: YardSettings, *, difference: bool = False) -> float:
    """A temperature, or a difference of two, in the yard's degrees."""
    if yard.units != YardSettings.Units.FEET:
        return celsius
    return celsius * 9 / 5 + (0 if difference else 32)


def celsius_of(shown: float, yard: YardSettings, *, difference: bool = False) -> float:
    if yard.units != YardSettings.Units.FEET:
        return shown
    return (shown - (0 if difference else 32)) * 5 / 9


def degree_unit(yard: YardSettings) -> str:
    return "°F" if yard.units == YardSettings.Units.FEET else "°C"


class WaitForm(forms.Form):
    """The least wait from a temperature upwards. Without a temperature and a wait: none."""

    use = forms.ChoiceField(label=gettext_lazy("Wait"), choices=ProductWait.Use.choices, initial=ProductWait.Use.DRY)
    temp = NumberField(label=pgettext_lazy("from which temperature", "From"), required=False)
    wait = MinutesField(label=gettext_lazy("At least"), required=False)

    def __init__(self, *args: Any, yard: YardSettings, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.yard = yard
        self.fields["temp"].label = f"{self.fields['temp'].label}, {degree_unit(yard)}"
        dress(self)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if (cleaned.get("temp") is None) != (cleaned.get("wait") is None) and not self.errors:
            self.add_error("temp" if cleaned.get("temp") is None else "wait", _("Say both, or clear both."))
        return cleaned

    def said(self) -> Wait | None:
        temp, wait = self.cleaned_data.get("temp"), self.cleaned_data.get("wait")
        if temp is None or wait is None or self.cleaned_data.get("DELETE"):
            return None
        return Wait(self.cleaned_data["use"], round(celsius_of(temp, self.yard), 2), wait)


class SheetForm(Refusable, forms.Form):
    """A sheet as its maker prints it. Empty: it states none."""

    kind = forms.ChoiceField(label=gettext_lazy("Kind"), choices=ProductKind.choices)
    name = forms.CharField(label=gettext_lazy("Product"), max_length=120)
    source = forms.CharField(label=gettext_lazy("Which sheet"), max_length=300)
    read_on = forms.DateField(
        label=gettext_lazy("Read on"), required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    min_temp_c = NumberField(label=gettext_lazy("Not below"), required=False)
    max_temp_c = NumberField(label=gettext_lazy("Not above"), required=False)
    max_humidity_pct = forms.IntegerField(
        label=gettext_lazy("Humidity at most, per cent"), required=False, min_value=1, max_value=100
    )
    min_dew_spread_c = NumberField(label=gettext_lazy("Above the dew point by"), required=False, min_value=0)
    overcoat_max_min = MinutesField(label=gettext_lazy("Next coat within"), required=False)
    max_wait_min = MinutesField(label=gettext_lazy("Launched within"), required=False)
    planned_temp_c = NumberField(label=gettext_lazy("Plan its waits for"), required=False)
    notes = forms.CharField(
        label=gettext_lazy("Notes"), required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )
    archived = forms.BooleanField(label=gettext_lazy("not used any more"), required=False)
    form_key = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def __init__(self, data: Any = None, *, yard: YardSettings, sheet: ProductSheet | None = None) -> None:
        super().__init__(data, initial=_initial(sheet, yard) if sheet else {})
        self.yard, self.sheet = yard, sheet
        self.fields["form_key"].initial = uuid4()
        for name in (*TEMPERATURES, SPREAD):
            self.fields[name].label = f"{self.fields[name].label}, {degree_unit(yard)}"
        dress(self)
        many: dict[str, Any] = {"can_delete": True, "max_num": 20, "absolute_max": 40, "validate_max": True, "extra": 2}
        waits = [
            {"use": row.use, "temp": round(degrees(row.from_temp_c, yard), 1), "wait": row.min_wait_min}
            for row in (sheet.waits.all() if sheet else ())
        ]
        self.waits = forms.formset_factory(WaitForm, **many)(
            data, initial=waits, prefix="waits", form_kwargs={"yard": yard}
        )

    def both_valid(self) -> bool:
        return all([self.is_valid(), self.waits.is_valid()])

    def values(self) -> dict[str, Any]:
        """What was typed; a temperature left as it was shown keeps what is on file: what is shown is rounded."""
        said = {name: self.cleaned_data[name] for name in PLAIN} | {"waits": self._waits()}
        for name in (*TEMPERATURES, SPREAD):
            typed = self.cleaned_data[name]
            if self.sheet is not None and typed == self.initial.get(name):
                said[name] = getattr(self.sheet, name)
            else:
                said[name] = (
                    None if typed is None else round(celsius_of(typed, self.yard, difference=name == SPREAD), 2)
                )
        return said

    def _waits(self) -> tuple[Wait, ...]:
        stored = {(round(degrees(row.from_temp_c, self.yard), 1)): row.from_temp_c for row in self._rows()}
        found = [form.said() for form in self.waits.forms]
        return tuple(
            sorted(
                Wait(
                    wait.use,
                    stored.get(round(degrees(wait.from_temp_c, self.yard), 1), wait.from_temp_c),
                    wait.min_wait_min,
                )
                for wait in found
                if wait is not None
            )
        )

    def _rows(self) -> list[ProductWait]:
        return list(self.sheet.waits.all()) if self.sheet else []


def _initial(sheet: ProductSheet, yard: YardSettings) -> dict[str, Any]:
    values = {name: getattr(sheet, name) for name in PLAIN}
    for name in (*TEMPERATURES, SPREAD):
        stored = getattr(sheet, name)
        values[name] = None if stored is None else round(degrees(stored, yard, difference=name == SPREAD), 1)
    return values
