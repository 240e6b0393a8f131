"""The form of a kind of job."""

from __future__ import annotations

from typing import Any

import msgspec
from django import forms

from yard.models import JobKind, Pausing, Trade, WaterNeed, WeatherClass
from yard.services.keep_kind import KIND
from yard.services.package_files import Part
from yard.web.packages.job_form import dress
from yard.web.packages.parts import parts_shown, parts_typed
from yard.web.refusal import Refusable


class KindForm(Refusable, forms.Form):
    """What every job of a kind shares. why: kept with the change."""

    name = forms.CharField(label="Name", max_length=80)
    short_name = forms.CharField(label="Short", max_length=8)
    letter = forms.CharField(label="Mark", max_length=2)
    trade = forms.ChoiceField(label="Trade", choices=Trade.choices)
    pausing = forms.ChoiceField(label="In time", choices=Pausing.choices)
    weather_class = forms.ChoiceField(label="Weather", choices=WeatherClass.choices)
    water_need = forms.ChoiceField(label="Water", choices=WaterNeed.choices)
    outdoor = forms.BooleanField(label="out of doors", required=False)
    needs_light = forms.BooleanField(label="in daylight", required=False)
    not_alone = forms.BooleanField(label="never alone", required=False)
    needs_boat = forms.BooleanField(label="done on the boat", required=False)
    shares_boat = forms.BooleanField(label="others may work on her meanwhile", required=False)
    cautions = forms.CharField(
        label="Cautions", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 4})
    )
    parts = forms.CharField(label="In parts", required=False, max_length=500, widget=forms.Textarea(attrs={"rows": 4}))
    archived = forms.BooleanField(label="not used any more", required=False)
    why = forms.CharField(label="Why", required=False, max_length=80)

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
