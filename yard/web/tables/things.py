"""Things of boats as a list."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import django_tables2 as tables
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Item, ItemWhereabouts, YardSettings
from yard.queries.things import where_things_are
from yard.sheets.writing import in_words
from yard.web.boats.words import thing_lies_words
from yard.web.keeping.saying import day_words
from yard.web.keeping.thing import MEASURES
from yard.web.tables.yard_table import YardTable, boat_words

NOT_ON_A_PHONE = {"td": {"class": "second"}}


@dataclass(frozen=True)
class ThingRow:
    """A thing of the list. boat: her name, or the walk-in's order."""

    item: Item
    here: ItemWhereabouts | None
    boat: str
    where: str


def thing_rows(items: Any) -> list[ThingRow]:
    """The things with what the list says of them. Two queries."""
    found = list(items)
    lies = where_things_are(item.pk for item in found)
    return [_row(item, lies.get(item.pk)) for item in found]


def _row(item: Item, here: ItemWhereabouts | None) -> ThingRow:
    whose = item.boat.name if item.boat else ""
    if not item.boat and item.order:
        whose = _("walk-in, {order}").format(order=item.order.ref)
    return ThingRow(item, here, whose, thing_lies_words(here) if here else _("nobody has said"))


class ThingTable(YardTable):
    """One row a thing; areas in the unit that the yard reads."""

    caption = gettext_lazy("Things")
    caption_hidden = True
    row_heading = "name"
    optional = ("kind", "sail_number", "area", "washed", "serviced", "since")

    name = tables.Column(gettext_lazy("Thing"), accessor="item__name")
    boat = tables.Column(gettext_lazy("Boat"))
    kind = tables.Column(gettext_lazy("Kind"), accessor="item__kind", attrs=NOT_ON_A_PHONE)
    where = tables.Column(gettext_lazy("Where"))
    since = tables.Column(gettext_lazy("Since"), accessor="here__since", default="", attrs=NOT_ON_A_PHONE)
    bag_tag = tables.Column(gettext_lazy("Bag tag"), accessor="item__bag_tag", default="")
    sail_number = tables.Column(
        gettext_lazy("Sail number"), accessor="item__sail_number", default="", attrs=NOT_ON_A_PHONE
    )
    area = tables.Column(gettext_lazy("Area"), accessor="item__area_m2", default="", attrs=NOT_ON_A_PHONE)
    washed = tables.Column(gettext_lazy("Last washed"), accessor="item__washed_on", default="", attrs=NOT_ON_A_PHONE)
    serviced = tables.Column(
        gettext_lazy("Last serviced"), accessor="item__serviced_on", default="", attrs=NOT_ON_A_PHONE
    )

    class Meta:
        attrs = {"class": "list cards brief"}
        empty_text = gettext_lazy("Nothing is like that. Take a word away, or show every kind.")

    def __init__(self, rows: list[ThingRow], *, yard: YardSettings, **kwargs: Any) -> None:
        super().__init__(rows, **kwargs)
        self.feet = yard.units == YardSettings.Units.FEET

    def render_name(self, record: ThingRow, value: str) -> str:
        return format_html('<a href="{}">{}</a>', reverse("thing", args=[record.item.pk]), value)

    def value_name(self, value: str) -> str:
        return value

    def render_boat(self, record: ThingRow, value: str) -> str:
        if record.item.boat is None:
            return value
        return boat_words(value, reverse("boat", args=[record.item.boat.pk]))

    def value_boat(self, value: str) -> str:
        return value

    def render_kind(self, record: ThingRow) -> str:
        return record.item.get_kind_display()

    def render_since(self, value: datetime) -> str:
        return day_words(timezone.localtime(value).date())

    def value_since(self, value: datetime) -> str:
        return timezone.localtime(value).date().isoformat()

    def render_area(self, value: float) -> str:
        return in_words(MEASURES["area_m2"], value, feet=self.feet)

    def render_washed(self, value: date) -> str:
        return day_words(value)

    def value_washed(self, value: date) -> str:
        return value.isoformat()

    def render_serviced(self, value: date) -> str:
        return day_words(value)

    def value_serviced(self, value: date) -> str:
        return value.isoformat()
