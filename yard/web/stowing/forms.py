"""Forms of autumn: the yard's rules, and what one row or rack takes, in the unit that the yard reads."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import AutumnRules, Place, PlaceKind, StackMeasure, YardSettings
from yard.services.stowing.freeze import published
from yard.web.number_fields import NumberField
from yard.web.units import height, height_unit, metres_of


class RulesForm(forms.Form):
    """version: of the rules that were read, 0 where none are on file."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    hauls_a_day = forms.IntegerField(label=gettext_lazy("Boats hauled on one day, at most"), min_value=1, max_value=50)
    gap = NumberField(min_value=0)
    freeze_station = forms.ChoiceField(label=gettext_lazy("First freeze by the table of"), required=False)
    freeze_below_f = forms.TypedChoiceField(
        label=gettext_lazy("A freeze is"), choices=AutumnRules.Below.choices, coerce=int
    )
    freeze_in_100 = forms.IntegerField(
        label=gettext_lazy("It may have frozen before, in so many of 100 autumns"), min_value=10, max_value=90
    )
    freeze_own_day = forms.CharField(
        label=gettext_lazy("Or the yard's own day, as 11-15"), required=False, max_length=5
    )
    freeze_binds = forms.BooleanField(
        label=gettext_lazy(
            "No plan winterises later; unticked, a later day costs, which leaves nobody out where days are few"
        ),
        required=False,
    )

    def __init__(self, data: Any = None, *, rules: AutumnRules, yard: YardSettings) -> None:
        names = [name for name in self.base_fields if name not in ("version", "gap")]
        on_file = AutumnRules.objects.filter(pk=1).exists()
        shown = {name: getattr(rules, name) for name in names} | {
            "version": rules.version if on_file else 0,
            "gap": round(height(rules.gap_m, yard), 2),
        }
        super().__init__(data, initial=shown)
        self.yard, self.rules = yard, rules
        self.fields["gap"].label = _("Between two boats of a row, {unit}").format(unit=height_unit(yard))
        stations = [(row.key, row.name) for row in published().values()]
        station = self.fields["freeze_station"]
        assert isinstance(station, forms.ChoiceField)
        station.choices = [("", _("none chosen")), *stations]
        for name, field in self.fields.items():
            if name not in ("version", "freeze_binds"):
                field.widget.attrs["class"] = "field"
        self.fields["gap"].widget.attrs["step"] = "any"

    def values(self) -> dict[str, Any]:
        """Fields of AutumnRules, in metres. What nobody touched keeps every digit."""
        said = {name: self.cleaned_data[name] for name in self.fields if name not in ("version", "gap")}
        gap = metres_of(self.cleaned_data["gap"], self.yard) if "gap" in self.changed_data else self.rules.gap_m
        return said | {"gap_m": gap}


class StackForm(forms.Form):
    """What one row, or one rack, takes. version: of its measures, 0 where none are on file."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    length = NumberField(required=False, min_value=0)
    headroom = NumberField(required=False, min_value=0)
    levels = forms.IntegerField(required=False, min_value=1, max_value=30, label=gettext_lazy("Levels"))
    per_level = forms.IntegerField(required=False, min_value=1, max_value=200, label=gettext_lazy("Spars on each"))

    def __init__(self, data: Any = None, *, place: Place, stack: StackMeasure | None, yard: YardSettings) -> None:
        self.place, self.stack, self.yard = place, stack, yard
        now = stack or StackMeasure(place=place)
        shown = {
            "version": now.version if stack is not None else 0,
            "length": None if now.length_m is None else round(height(now.length_m, yard), 2),
            "headroom": None if now.height_m is None else round(height(now.height_m, yard), 2),
            "levels": now.levels,
            "per_level": now.per_level,
        }
        super().__init__(data, initial=shown, auto_id=f"stack-{place.pk}-%s")
        unit = height_unit(yard)
        self.fields["length"].label, self.fields["headroom"].label = (
            _("Length, {unit}").format(unit=unit),
            _("Headroom, {unit}").format(unit=unit),
        )
        for name in ("levels", "per_level") if place.kind == PlaceKind.STORE_ROW else ("length", "headroom"):
            del self.fields[name]
        for name, field in self.fields.items():
            field.widget.attrs |= {"class": "field num", "step": "any" if name in ("length", "headroom") else "1"}

    def values(self) -> dict[str, Any]:
        """Fields of StackMeasure, in metres. What nobody touched keeps every digit."""
        found: dict[str, Any] = {}
        for name, column in (("length", "length_m"), ("headroom", "height_m")):
            if name in self.fields and name in self.changed_data:
                typed = self.cleaned_data[name]
                found[column] = None if typed is None else metres_of(typed, self.yard)
        for name in ("levels", "per_level"):
            if name in self.fields:
                found[name] = self.cleaned_data[name]
        return {key: value for key, value in found.items() if not (key == "levels" and value is None)}
