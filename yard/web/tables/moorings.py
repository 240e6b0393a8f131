"""Moorings as a list."""

from __future__ import annotations

from datetime import date
from typing import Any

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Boat, Mooring, YardSettings
from yard.speech import number
from yard.web.keeping.saying import day_words
from yard.web.tables.yard_table import YardTable, boat_words
from yard.web.units import height, height_unit

NUMBER = {"th": {"class": "num"}, "td": {"class": "num"}}
NUMBER_NOT_ON_A_PHONE = {"th": {"class": "num"}, "td": {"class": "num second"}}
NOT_ON_A_PHONE = {"td": {"class": "second"}}


class MooringTable(YardTable):
    """One row a mooring. Depths in the unit that the yard reads; what dries is negative."""

    caption = gettext_lazy("Moorings")
    caption_hidden = True
    row_heading = "ref"
    optional = ("boat", "where", "depth", "shoalest", "set_on", "due_on", "tackle", "permit")

    ref = tables.Column(gettext_lazy("Mooring"))
    boat = tables.Column(
        gettext_lazy("Boat"),
        accessor="permit_boat",
        order_by=("permit_boat__name", "ref"),
        default=gettext_lazy("none"),
    )
    where = tables.Column(
        gettext_lazy("Where it lies"), accessor="position_note", default="", attrs={"td": {"class": "whole"}}
    )
    depth = tables.Column(
        gettext_lazy("Depth"), accessor="depth_m_at_datum", attrs=NUMBER, default=gettext_lazy("not known")
    )
    shoalest = tables.Column(
        gettext_lazy("Shoalest on the way"),
        accessor="route_shoalest_m_at_datum",
        attrs=NUMBER_NOT_ON_A_PHONE,
        default=gettext_lazy("not known"),
    )
    set_on = tables.Column(gettext_lazy("Tackle set"), accessor="tackle_set_on", default=gettext_lazy("not set"))
    due_on = tables.Column(
        gettext_lazy("Next inspection"), accessor="tackle_inspection_due_on", default="", attrs=NOT_ON_A_PHONE
    )
    tackle = tables.Column(gettext_lazy("Tackle"), accessor="to_replace", attrs=NOT_ON_A_PHONE, orderable=False)
    permit = tables.Column(gettext_lazy("Permit to"), accessor="permit_expires_on", default=gettext_lazy("not on file"))

    class Meta:
        attrs = {"class": "list cards brief"}  # as every table
        empty_text = gettext_lazy("No mooring is like that. Take a word away, or show all of them.")

    def __init__(self, rows: Any, *, yard: YardSettings, today: date, **kwargs: Any) -> None:
        super().__init__(rows, **kwargs)
        self.yard, self.today = yard, today
        for name in ("depth", "shoalest"):
            column = self.columns[name].column
            column.verbose_name = f"{column.verbose_name}, {height_unit(yard)}"

    def render_ref(self, value: str, record: Mooring) -> str:
        return format_html('<a href="{}">{}</a>', reverse("mooring", args=[record.pk]), value)

    def value_ref(self, value: str) -> str:
        return value

    def render_boat(self, value: Boat) -> str:
        return boat_words(value.name, reverse("boat", args=[value.pk]))

    def value_boat(self, value: Boat) -> str:
        return value.name

    def render_depth(self, value: float) -> str:
        return number(height(value, self.yard), 1)

    def value_depth(self, value: float) -> str:
        return self._in_a_sheet(value)

    def render_shoalest(self, value: float) -> str:
        return number(height(value, self.yard), 1)

    def value_shoalest(self, value: float) -> str:
        return self._in_a_sheet(value)

    def _in_a_sheet(self, value: float) -> str:
        """With a point in every language."""
        return f"{height(value, self.yard):.1f}"

    def render_set_on(self, value: date) -> str:
        return day_words(value)

    def value_set_on(self, value: date) -> str:
        return value.isoformat()

    def render_due_on(self, value: date) -> str:
        return self._until(value, _("was due {day}"))

    def value_due_on(self, value: date) -> str:
        return value.isoformat()

    def render_tackle(self, value: bool) -> str:
        return format_html('<span class="late">{}</span>', _("a part is to be replaced")) if value else ""

    def value_tackle(self, value: bool) -> str:
        return _("a part is to be replaced") if value else ""

    def render_permit(self, value: date) -> str:
        return self._until(value, _("ran out {day}"))

    def value_permit(self, value: date) -> str:
        return value.isoformat()

    def _until(self, day: date, over: str) -> str:
        """over: what is said of a day that is past, with a gap for it."""
        words = day_words(day)
        return format_html('<span class="late">{}</span>', over.format(day=words)) if day < self.today else words
