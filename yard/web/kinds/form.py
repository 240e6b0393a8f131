"""The form of a kind of job."""

from __future__ import annotations

from typing import Any

import msgspec
from django import forms
from django.utils.translation import gettext_lazy as _

from yard.models import JobKind, Pausing, Trade, WaterNeed, WeatherClass
from yard.services.keep_kind import KIND
from yard.services.package_files import Part
from yard.web.packages.job_form import dress
from yard.web.packages.parts import parts_shown, parts_typed
from yard.web.refusal import Refusable


class KindForm(Refusable, forms.Form):
    """What every job of a kind shares. why: kept with the change."""

    name = forms.CharField(label=_("Name"), max_length=80)
    short_name = forms.CharField(label=_("Short"), max_length=8)
    letter = forms.CharField(label=_("Mark"), max_length=2)
    trade = forms.ChoiceField(label=_("Trade"), choices=Trade.choices)
    pausing = forms.ChoiceField(label=_("In time"), choices=Pausing.choices)
    weather_class = forms.ChoiceField(label=_("Weather"), choices=WeatherClass.choices)
    water_need = forms.ChoiceField(label=_("Water"), choices=WaterNeed.choices)
    outdoor = forms.BooleanField(label=_("out of doors"), required=False)
    needs_light = forms.BooleanField(label=_("in daylight"), required=False)
    not_alone = forms.BooleanField(label=_("never alone"), required=False)
    needs_boat = forms.BooleanField(label=_("done on the boat"), required=False)
    shares_boat = forms.BooleanField(label=_("others may work on her meanwhile"), required=False)
    cautions = forms.CharField(
        label=_("Cautions"), required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 4})
    )
    parts = forms.CharField(
        label=_("In parts"), required=False, max_length=500, widget=forms.Textarea(attrs={"rows": 4})
    )
    archived = forms.BooleanField(label=_("not used any more"), required=False)
    why = forms.CharField(label=_("Why"), required=False, max_length=80)

    def __init__(self, data: Any = None, *, kind: JobKind | None = None) -> None:
        super().__init__(data, initial=_initial(kind) if kind else {"trade": Trade.YARD})
        dress(self)

    def clean_parts(self) -> list[dict[str, Any]]:
        return [msgspec.to_builtins(part) for part in parts_typed(str(self.cleaned_data["parts"]))]

    def values(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in KIND.fields}


def _initial(kind: JobKind) -> dict[str, Any]:
    return {name: getattr(kind, name) for name in KIND.fields} | {
        "parts": parts_shown(msgspec.convert(kind.parts, list[Part]))
    }
