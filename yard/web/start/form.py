"""Four things and a draft: where the yard is, its ramp, and a boat's draft. The rest can wait."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast

from django import forms
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from yard.models import YardSettings
from yard.sheets.columns import CellRefused, Column, Kind
from yard.sheets.measures import angle
from yard.sheets.writing import unit_read
from yard.tides.source import TideError
from yard.tides.stations import NearStation, Station, nearest, search, station
from yard.web.keeping.fields import MeasureField

NEAR, LIKE = 5, 8
"""Stations offered about a position, and of a name."""
LATITUDE, LONGITUDE = (Column(key=key, heading=key, kind=Kind.ANGLE) for key in ("latitude", "longitude"))
TOE = Column(key="toe", heading=gettext_noop("toe of the ramp"), kind=Kind.LENGTH, least=-20, most=20)
TRAILER = Column(key="trailer", heading=gettext_noop("trailer"), kind=Kind.LENGTH, least=0, most=5)
DRAFT = Column(key="draft", heading=gettext_noop("draft"), kind=Kind.LENGTH, least=0.05, most=12)


@dataclass(frozen=True, slots=True)
class Offered:
    """A station that may be meant. km: how far from the position that was typed, None where a name was."""

    id: str
    label: str
    km: float | None


class StartForm(forms.Form):
    """What was asked: `chosen` is the station that counts, `offered` those that may be meant."""

    place = forms.CharField(
        label=gettext_lazy("Where"),
        max_length=80,
        help_text=gettext_lazy("A tide station's name, as Trenton, or latitude and longitude."),
    )
    station = forms.CharField(required=False, max_length=20, widget=forms.HiddenInput)
    units = forms.ChoiceField(
        label=gettext_lazy("Heights in"), choices=YardSettings.Units.choices, widget=forms.RadioSelect
    )
    name = forms.CharField(label=gettext_lazy("What the yard is called"), required=False, max_length=80)

    def __init__(self, data: Any = None) -> None:
        super().__init__(data)
        self.feet = (data or {}).get("units", YardSettings.Units.FEET) != YardSettings.Units.METRES
        self.offered: list[Offered] = []
        self.position: tuple[float, float] | None = None
        self.fields["units"].initial = YardSettings.Units.FEET
        for key, column, label, needed in (
            ("toe", TOE, _("Toe of the ramp above chart datum"), True),
            ("trailer", TRAILER, _("Trailer, from the ramp to her keel"), False),
            ("draft", DRAFT, _("One boat's draft"), True),
        ):
            self.fields[key] = MeasureField(column, feet=self.feet, required=needed, label=label)
            self.fields[key].label = f"{label}, {unit_read(column, feet=self.feet)}"
        self.fields["toe"].help_text = _("The lowest point that the trailer stands on; negative below datum.")
        self.fields["trailer"].help_text = _("Empty: none is counted.")
        for key in ("place", "name"):
            self.fields[key].widget.attrs |= {"class": "field", "autocomplete": "off"}

    def clean_place(self) -> str:
        """Finds the stations; a place with none is told what to type."""
        typed = str(self.cleaned_data["place"]).strip()
        self.position = _position(typed)
        try:
            near = nearest(*self.position, NEAR) if self.position else []
        except TideError as error:
            raise forms.ValidationError(f"{capfirst(str(error))}.") from error
        self.offered = (
            [_near(each) for each in near] if self.position else [_like(each) for each in search(typed, LIKE)]
        )
        if not self.offered:
            raise forms.ValidationError(
                _(
                    "No tide station is called that. Type the nearest harbour, or latitude and longitude as 40.15,"
                    " -74.74."
                )
            )
        return typed

    def clean_station(self) -> str:
        """The one that was pressed, where it is one of those offered; else the first."""
        pressed = str(self.cleaned_data["station"])
        return pressed if pressed in {each.id for each in self.offered} else self.offered[0].id if self.offered else ""

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        draft = cleaned.get("draft")
        if draft is not None and not (cast(float, DRAFT.least) <= draft <= cast(float, DRAFT.most)):
            self.add_error("draft", _("A boat of a small yard draws less, and more than nothing: check the unit."))
        return cleaned

    def yard(self, name: str) -> YardSettings:
        """The yard as it would be, not saved."""
        found, said = station(self.cleaned_data["station"]), self.cleaned_data
        latitude, longitude = self.position or (found.latitude, found.longitude)
        return YardSettings(
            name=name,
            units=said["units"],
            time_zone=found.zone,
            latitude=latitude,
            longitude=longitude,
            tide_station=found.id,
            ramp_toe_m_above_datum=said["toe"],
            trailer_height_m=said["trailer"],
        )


def _position(typed: str) -> tuple[float, float] | None:
    north, comma, east = typed.replace(";", ",").partition(",")
    if not comma:
        return None
    try:
        return angle(north, LATITUDE), angle(east, LONGITUDE)
    except CellRefused:
        return None


def _near(each: NearStation) -> Offered:
    return Offered(each.station.id, each.station.label, each.distance_km)


def _like(each: Station) -> Offered:
    return Offered(each.id, each.label, None)
