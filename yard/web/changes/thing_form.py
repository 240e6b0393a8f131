"""The form of one thing of a boat: a sail, a cover, cushions, a mast, keys, a cradle."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms

from yard.models import Boat, Item, YardSettings
from yard.services.keep_thing import THINGS
from yard.sheets.columns import Column, Kind
from yard.web.changes.kept_form import DATE, KeptForm

AREA = Column(key="area_m2", heading="area", kind=Kind.AREA)


class ThingForm(KeptForm):
    """Moved to another boat, it stays where it is and its history goes along."""

    book = THINGS
    measures = {"area_m2": AREA}
    groups = (
        ("The thing", ("boat", "kind", "name", "bag_tag", "sail_number", "area_m2")),
        ("Care", ("washed_on", "serviced_on", "notes")),
    )
    hints = {
        "boat": "Another boat: it moves to her, and lies where it was said to lie.",
        "name": "As you call it: mainsail, cockpit cover, boom.",
        "bag_tag": "What is written on the bag or sewn in.",
        "sail_number": "As it stands on the sail; hers may differ.",
        "area_m2": "Of a sail or a cover.",
    }

    boat = forms.ModelChoiceField(Boat.objects.none(), required=False, label="Boat", empty_label="none on file")
    kind = forms.ChoiceField(choices=Item.Kind.choices, initial=Item.Kind.SAIL, label="Kind")
    name = forms.CharField(max_length=80, label="Name")
    bag_tag = forms.CharField(max_length=20, required=False, label="Bag tag")
    sail_number = forms.CharField(max_length=20, required=False, label="Sail number")
    washed_on = forms.DateField(label="Last washed", **DATE)
    serviced_on = forms.DateField(label="Last serviced", **DATE)
    notes = forms.CharField(required=False, label="Notes", widget=forms.Textarea(attrs={"rows": 3}))

    def __init__(
        self, data: Any = None, *, yard: YardSettings, row: Any = None, today: date, initial: Any = None
    ) -> None:
        self.today = today
        super().__init__(data, yard=yard, row=row, initial=initial)

    def build(self) -> None:
        boats = Boat.objects.filter(archived=False)
        if self.row is not None and self.row.boat_id is not None:
            boats = boats | Boat.objects.filter(pk=self.row.boat_id)
        self.fields["boat"].queryset = boats.order_by("name", "id")  # type: ignore[attr-defined]  # a ModelChoiceField has one

    def shown(self, values: Any) -> dict[str, Any]:
        return super().shown(values) | {"boat": values["boat"].pk if values["boat"] else None}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for key in ("washed_on", "serviced_on"):
            if (day := cleaned.get(key)) and day > self.today:
                self.add_error(key, f"{day} is still to come: this is the day on which it was done.")
        if (area := cleaned.get("area_m2")) is not None and not 0.01 <= area <= 2000:
            self.add_error("area_m2", f"An area of {self.words_of('area_m2', area)}: check the unit.")
        return cleaned
