"""Places as a list."""

from __future__ import annotations

from typing import Any

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from yard.models import Place, PlaceKind, YardSettings
from yard.sheets.measures import FOOT_M, POUND_KG
from yard.web.keeping.place import sector_words
from yard.web.runs.page import duration
from yard.web.tables.yard_table import YardTable

NUMBER = {"th": {"class": "num"}, "td": {"class": "num"}}
NOT_ON_A_PHONE = {"td": {"class": "second"}}


class PlaceTable(YardTable):
    """One row a place, measures in the yard's unit. editable: names lead to the page that changes them."""

    caption = "Places"
    caption_hidden = True
    row_heading = "name"
    optional = ("short_name", "capacity", "limits", "runs", "wind", "operators", "shut")

    name = tables.Column("Place")
    short_name = tables.Column("Short", default="", attrs=NOT_ON_A_PHONE)
    kind = tables.Column("Kind")
    capacity = tables.Column("Takes", attrs=NUMBER)
    limits = tables.Column("Boats up to", empty_values=(), orderable=False)
    runs = tables.Column("Runs", empty_values=(), orderable=False, attrs=NOT_ON_A_PHONE)
    wind = tables.Column("Wind", empty_values=(), orderable=False, attrs=NOT_ON_A_PHONE)
    operators = tables.Column("Worked by", empty_values=(), orderable=False, attrs=NOT_ON_A_PHONE)
    shut = tables.Column("Shut", empty_values=(), orderable=False)

    class Meta:
        attrs = {"class": "list cards brief"}
        empty_text = "No place is like that."

    def __init__(self, rows: Any, *, yard: YardSettings, editable: bool, **kwargs: Any) -> None:
        super().__init__(rows, **kwargs)
        self.feet, self.editable = yard.units == YardSettings.Units.FEET, editable

    def render_name(self, record: Place, value: str) -> str:
        if not self.editable:
            return value
        return format_html('<a href="{}">{}</a>', reverse("place_change", args=[record.pk]), value)

    def value_name(self, value: str) -> str:
        return value

    def render_capacity(self, record: Place, value: int) -> str:
        if record.line_m:
            return f"{self._measured('line_m', record.line_m)} of line"
        length_m = record.stack.length_m if hasattr(record, "stack") else None
        return f"{value}, {self._measured('length_m', length_m)} of row" if length_m else str(value)

    def value_capacity(self, value: int) -> int:
        return value

    def render_limits(self, record: Place) -> str:
        keys = ("max_length_m", "max_beam_m", "max_draft_m", "max_displacement_kg")
        words = {"max_beam_m": "wide", "max_draft_m": "deep", "max_length_m": "long", "max_displacement_kg": ""}
        known = [(key, value) for key in keys if (value := getattr(record, key)) is not None]
        return ", ".join(f"{self._measured(key, value)} {words[key]}".strip() for key, value in known)

    def _measured(self, key: str, value: float) -> str:
        """A limit as a list says it: lengths to a tenth, masses whole; its page has every digit."""
        if key.endswith("_kg"):
            return f"{value / POUND_KG:,.0f} lb" if self.feet else f"{value:,.0f} kg"
        return f"{value / FOOT_M:.1f} ft" if self.feet else f"{value:.1f} m"

    def render_runs(self, record: Place) -> str:
        """Of a workboat: seats, how long she runs, when she is charged, whether she tows."""
        if record.kind != PlaceKind.WORKBOAT:
            return ""
        words = [f"{record.seats} seats"] if record.seats else []
        if record.runs_min is not None:
            words.append(f"runs {duration(record.runs_min)}, charged in {duration(record.charge_min or 0)}")
        if record.charged_at is not None:
            words.append(f"also from {record.charged_at:%H:%M}")
        return "; ".join([*words, *([] if record.tows else ["does not tow"])])

    def render_wind(self, record: Place) -> str:
        if not record.outdoor:
            return "indoors"
        factor = [] if record.wind_factor == 1 else [f"{record.wind_factor:g} of the forecast"]
        return "; ".join([*factor, *map(sector_words, record.wind_limits)]) or "as forecast"

    def render_operators(self, record: Place) -> str:
        return ", ".join(person.short_name for person in record.operators.all()) or "whoever has the skill"

    def render_shut(self, record: Place) -> str:
        return ", ".join(each.reason for each in record.closures.all())
