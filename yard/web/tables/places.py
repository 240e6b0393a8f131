"""Places as a list."""

from __future__ import annotations

from typing import Any

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from yard.day_names import said
from yard.models import Place, PlaceKind, YardSettings
from yard.sheets.measures import FOOT_M, POUND_KG
from yard.speech import number, short_number, whole
from yard.web.keeping.place import sector_words
from yard.web.runs.page import duration
from yard.web.tables.yard_table import YardTable

NUMBER = {"th": {"class": "num"}, "td": {"class": "num"}}
NOT_ON_A_PHONE = {"td": {"class": "second"}}


class PlaceTable(YardTable):
    """One row a place, measures in the yard's unit. editable: names lead to the page that changes them."""

    caption = gettext_lazy("Places")
    caption_hidden = True
    row_heading = "name"
    optional = ("short_name", "capacity", "limits", "runs", "wind", "operators", "shut")

    name = tables.Column(gettext_lazy("Place"))
    short_name = tables.Column(gettext_lazy("Short"), default="", attrs=NOT_ON_A_PHONE)
    kind = tables.Column(gettext_lazy("Kind"))
    capacity = tables.Column(gettext_lazy("Takes"), attrs=NUMBER)
    limits = tables.Column(gettext_lazy("Boats up to"), empty_values=(), orderable=False)
    runs = tables.Column(gettext_lazy("Runs"), empty_values=(), orderable=False, attrs=NOT_ON_A_PHONE)
    wind = tables.Column(gettext_lazy("Wind"), empty_values=(), orderable=False, attrs=NOT_ON_A_PHONE)
    operators = tables.Column(gettext_lazy("Worked by"), empty_values=(), orderable=False, attrs=NOT_ON_A_PHONE)
    shut = tables.Column(gettext_lazy("Shut"), empty_values=(), orderable=False)

    class Meta:
        attrs = {"class": "list cards brief"}
        empty_text = gettext_lazy("No place is like that.")

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
            return _("{length} of line").format(length=self._measured("line_m", record.line_m))
        length_m = record.stack.length_m if hasattr(record, "stack") else None
        if not length_m:
            return str(value)
        return _("{n}, {length} of row").format(n=value, length=self._measured("length_m", length_m))

    def value_capacity(self, value: int) -> int:
        return value

    def render_limits(self, record: Place) -> str:
        keys = ("max_length_m", "max_beam_m", "max_draft_m", "max_displacement_kg")
        words = {"max_beam_m": _("{limit} wide"), "max_draft_m": _("{limit} deep"), "max_length_m": _("{limit} long")}
        known = [(key, value) for key in keys if (value := getattr(record, key)) is not None]
        return ", ".join(words.get(key, "{limit}").format(limit=self._measured(key, value)) for key, value in known)

    def _measured(self, key: str, value: float) -> str:
        """A limit as a list says it: lengths to a tenth, masses whole; its page has every digit."""
        if key.endswith("_kg"):
            mass = whole(value / POUND_KG if self.feet else value)
            return f"{mass} lb" if self.feet else f"{mass} kg"
        return f"{number(value / FOOT_M, 1)} ft" if self.feet else f"{number(value, 1)} m"

    def render_runs(self, record: Place) -> str:
        """Of a workboat: seats, how long she runs, when she is charged, whether she tows."""
        if record.kind != PlaceKind.WORKBOAT:
            return ""
        seats = ngettext("{n} seats", "{n} seats", record.seats or 0).format(n=record.seats)
        words = [seats] if record.seats else []
        if record.runs_min is not None:
            charge = duration(record.charge_min or 0)
            words.append(_("runs {time}, charged in {charge}").format(time=duration(record.runs_min), charge=charge))
        if record.charged_at is not None:
            words.append(_("also from {time}").format(time=said(record.charged_at, "H:i")))
        return "; ".join([*words, *([] if record.tows else [_("does not tow")])])

    def render_wind(self, record: Place) -> str:
        if not record.outdoor:
            return _("indoors")
        factor = (
            []
            if record.wind_factor == 1
            else [_("{factor} of the forecast").format(factor=short_number(record.wind_factor))]
        )
        return "; ".join([*factor, *map(sector_words, record.wind_limits)]) or _("as forecast")

    def render_operators(self, record: Place) -> str:
        return ", ".join(person.short_name for person in record.operators.all()) or _("whoever has the skill")

    def render_shut(self, record: Place) -> str:
        return ", ".join(each.reason for each in record.closures.all())
