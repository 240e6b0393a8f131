"""The form of one thing of a boat: a sail, a cover, cushions, a mast, keys, a cradle."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from yard.models import Boat, Item
from yard.services.keep_thing import THING
from yard.sheets.columns import Column, Kind
from yard.web.keeping.desk import Desk
from yard.web.keeping.form import RowForm, Section
from yard.web.keeping.thing_where import thing_where
from yard.web.orders.form import DayField

MEASURES = {
    "area_m2": Column(key="area_m2", heading=gettext_noop("area"), kind=Kind.AREA),
    "luff_m": Column(key="luff_m", heading=gettext_noop("luff"), kind=Kind.LENGTH),
    "line_m": Column(key="line_m", heading=gettext_noop("line it takes"), kind=Kind.LENGTH),
}


class ThingForm(RowForm):
    """Moved to another boat, it stays where it is and its history goes along."""

    keeper = THING
    measures = MEASURES  # a mapping that nobody writes
    sections = (
        Section(gettext_lazy("The thing"), ("boat", "kind", "name", "bag_tag", "sail_number", "area_m2")),
        Section(
            gettext_lazy("A sail's measures"),
            ("luff_m", "line_m", "measured_on"),
            folded=True,
            within=gettext_lazy("luff, line it takes"),
        ),
        Section(gettext_lazy("Care"), ("washed_on", "serviced_on", "notes")),
    )
    hints = {  # as above
        "boat": gettext_lazy("Another boat: it moves to her, and lies where it was said to lie."),
        "name": gettext_lazy("As you call it: mainsail, cockpit cover, boom."),
        "bag_tag": gettext_lazy("What is written on the bag or sewn in."),
        "sail_number": gettext_lazy("As it stands on the sail; hers may differ."),
        "area_m2": gettext_lazy("Of a sail or a cover."),
        "luff_m": gettext_lazy("Along its front edge, as measured. Empty: reckoned from its area."),
        "line_m": gettext_lazy("How much of a drying line it takes, where that is not its luff."),
        "measured_on": gettext_lazy("The day on which somebody last measured it."),
    }

    class Meta:
        model = Item
        fields = ("name", "bag_tag", "sail_number", "notes")

    boat = forms.ModelChoiceField(
        Boat.objects.none(), required=False, label=gettext_lazy("Boat"), empty_label=gettext_lazy("none on file")
    )
    kind = forms.ChoiceField(choices=Item.Kind.choices, initial=Item.Kind.SAIL, label=gettext_lazy("Kind"))
    washed_on = DayField(gettext_lazy("Last washed"))
    serviced_on = DayField(gettext_lazy("Last serviced"))
    measured_on = DayField(gettext_lazy("Last measured"))

    def build(self) -> None:
        boats = Boat.objects.filter(archived=False)
        if self.row is not None and self.row.boat_id is not None:
            boats = boats | Boat.objects.filter(pk=self.row.boat_id)
        choice: Any = self.fields["boat"]
        choice.queryset = boats.order_by("name", "id")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for key in ("washed_on", "serviced_on", "measured_on"):
            if (day := cleaned.get(key)) and day > self.today:
                self.add_error(key, _("{day} is still to come: this is the day on which it was done.").format(day=day))
        if (area := cleaned.get("area_m2")) is not None and not 0.01 <= area <= 2000:
            self.add_error(
                "area_m2", _("An area of {value}: check the unit.").format(value=self.say.value("area_m2", area))
            )
        return cleaned


THING_DESK = Desk(
    form=ThingForm,
    one="thing",
    name="thing",
    template="keeping/thing.html",
    about=lambda request, row: {"where": thing_where(row)} if row is not None else {},
    put_back="thing_put_back",
)
