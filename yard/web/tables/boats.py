"""Boats as a list."""

from __future__ import annotations

from datetime import date
from typing import Any

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import YardSettings
from yard.queries.boat_list import LIST_STATES, BoatRow, state_words
from yard.queries.season_board import LATE, NO_HAND
from yard.speech import number
from yard.web.boats.words import boat_lies_short, date_words
from yard.web.tables.yard_table import YardTable, boat_words
from yard.web.units import height, height_unit

NUMBER = {"th": {"class": "num"}, "td": {"class": "num"}}
NOT_ON_A_PHONE = {"td": {"class": "second"}}
NUMBER_NOT_ON_A_PHONE = {"th": {"class": "num"}, "td": {"class": "num second"}}
WHOLE_LINE = {"td": {"class": "whole"}}
STATE_CSS = {LATE: "late", NO_HAND: "nohand"}


class BoatTable(YardTable):
    """One row a boat. Heights in the unit that the yard reads; the column of owners only for whoever may see them."""

    caption = gettext_lazy("Boats")
    caption_hidden = True
    row_heading = "name"
    optional = ("design", "length", "draft", "lies", "owners", "due", "done_by", "days", "waits_on")

    name = tables.Column(gettext_lazy("Boat"), accessor="boat__name")
    design = tables.Column(gettext_lazy("Design"), accessor="boat__design", default="", attrs=NOT_ON_A_PHONE)
    length = tables.Column(gettext_lazy("Length"), accessor="boat__length_m", attrs=NUMBER_NOT_ON_A_PHONE)
    draft = tables.Column(
        gettext_lazy("Draft"), accessor="boat__draft_m", attrs=NUMBER_NOT_ON_A_PHONE, default=gettext_lazy("not known")
    )
    lies = tables.Column(
        gettext_lazy("Where she is"), accessor="lies", order_by=("lies__kind", "lies__place__sequence"), default=""
    )
    owners = tables.Column(gettext_lazy("Owner"), default="", attrs=NOT_ON_A_PHONE)
    due = tables.Column(gettext_lazy("Date to keep"), accessor="standing__due", default="")
    done_by = tables.Column(gettext_lazy("Planned done"), accessor="standing__done_by", default="")
    days = tables.Column(gettext_lazy("Days in hand"), accessor="standing__days_in_hand", attrs=NUMBER, default="–")
    state = tables.Column(gettext_lazy("State"), accessor="standing__state", attrs={"td": {"class": "state"}})
    waits_on = tables.Column(
        gettext_lazy("Waiting on"), default="", empty_values=((), None), orderable=False, attrs=WHOLE_LINE
    )

    class Meta:
        attrs = {"class": "list cards brief"}
        empty_text = gettext_lazy("No boat is like that. Take a word away, or show every state.")

    def __init__(self, rows: list[BoatRow], *, yard: YardSettings, with_owners: bool, **kwargs: Any) -> None:
        super().__init__(rows, exclude=() if with_owners else ("owners",), **kwargs)
        self.yard = yard
        for name in ("length", "draft"):
            column = self.columns[name].column
            column.verbose_name = f"{column.verbose_name}, {height_unit(yard)}"

    def render_name(self, value: str, record: BoatRow) -> str:
        return boat_words(value, reverse("boat", args=[record.boat.pk]))

    def value_name(self, value: str) -> str:
        return value

    def render_length(self, value: float) -> str:
        return number(height(value, self.yard), 1)

    def value_length(self, value: float) -> str:
        return self._in_a_sheet(value)

    def render_draft(self, value: float) -> str:
        return number(height(value, self.yard), 1)

    def value_draft(self, value: float) -> str:
        return self._in_a_sheet(value)

    def _in_a_sheet(self, value: float) -> str:
        """With a point in every language."""
        return f"{height(value, self.yard):.1f}"

    def render_lies(self, record: BoatRow) -> str:
        return boat_lies_short(record.lies) if record.lies is not None else ""

    def render_due(self, value: date) -> str:
        return date_words(value)

    def value_due(self, value: date) -> str:
        return value.isoformat()

    def render_done_by(self, value: date) -> str:
        return date_words(value)

    def value_done_by(self, value: date) -> str:
        return value.isoformat()

    def render_days(self, value: int) -> str:
        return _("{n} late").format(n=-value) if value < 0 else str(value)

    def value_days(self, value: int) -> int:
        return value

    def render_state(self, value: str) -> str:
        return format_html('<span class="{}">{}</span>', STATE_CSS.get(value, ""), state_words(value))

    def value_state(self, value: str) -> str:
        return state_words(value)

    def render_waits_on(self, record: BoatRow) -> str:
        return ", ".join(record.waits_on) or record.standing.reason

    def order_state(self, rows: Any, is_descending: bool) -> tuple[Any, bool]:
        """By how much they need somebody, not by letter."""
        rows.sort(key=lambda row: LIST_STATES.index(row.standing.state), reverse=is_descending)
        return rows, True
