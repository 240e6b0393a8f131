"""Owners as a list."""

from __future__ import annotations

from datetime import date
from typing import Any

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import BoatOwner
from yard.queries.owners import OwnerRow
from yard.web.keeping.saying import day_words
from yard.web.tables.yard_table import YardTable, boat_words, phone_links

NOT_ON_A_PHONE = {"td": {"class": "second"}}


class OwnerTable(YardTable):
    """One row an owner; a number is a link that calls and one that texts."""

    caption = gettext_lazy("Owners")
    caption_hidden = True
    row_heading = "name"
    optional = ("boats", "phone", "prefers", "email", "language", "insured_to")

    name = tables.Column(gettext_lazy("Owner"), accessor="owner__name")
    boats = tables.Column(
        gettext_lazy("Boats"), empty_values=(), order_by=("first_boat",), attrs={"td": {"class": "whole"}}
    )
    phone = tables.Column(
        gettext_lazy("Telephone"),
        accessor="owner__phone",
        default=gettext_lazy("none on file"),
        attrs={"td": {"class": "whole"}},
    )
    prefers = tables.Column(
        gettext_lazy("Reached best by"), accessor="owner__get_prefers_display", attrs=NOT_ON_A_PHONE
    )
    email = tables.Column(gettext_lazy("E-mail"), accessor="owner__email", default="", attrs=NOT_ON_A_PHONE)
    language = tables.Column(
        gettext_lazy("Language"), accessor="owner__get_language_display", default="", attrs=NOT_ON_A_PHONE
    )
    insured_to = tables.Column(gettext_lazy("Insured to"), default=gettext_lazy("not on file"), attrs=NOT_ON_A_PHONE)

    class Meta:
        attrs = {"class": "list cards brief"}  # as every table
        empty_text = gettext_lazy("No owner is like that. Take a word away, or show everybody.")

    def __init__(self, rows: list[OwnerRow], *, today: date, **kwargs: Any) -> None:
        super().__init__(rows, **kwargs)
        self.today = today

    def render_name(self, value: str, record: OwnerRow) -> str:
        return format_html('<a href="{}">{}</a>', reverse("owner", args=[record.owner.pk]), value)

    def value_name(self, value: str) -> str:
        return value

    def render_boats(self, record: OwnerRow) -> str:
        names = [(boat_words(each.boat.name, reverse("boat", args=[each.boat_id])),) for each in record.boats]
        return format_html_join(", ", "{}", names) or _("none now")

    def value_boats(self, record: OwnerRow) -> str:
        return ", ".join(each.boat.name for each in record.boats)

    def render_phone(self, value: str) -> str:
        return phone_links(value)

    def value_phone(self, value: str) -> str:
        return value

    def render_email(self, value: str) -> str:
        return format_html('<a href="mailto:{}">{}</a>', value, value)

    def value_email(self, value: str) -> str:
        return value

    def render_insured_to(self, value: date) -> str:
        words = day_words(value)
        if value < self.today:
            return format_html('<span class="late">{}</span>', _("ran out {day}").format(day=words))
        return words

    def value_insured_to(self, value: date) -> str:
        return value.isoformat()

    def order_boats(self, rows: Any, is_descending: bool) -> tuple[Any, bool]:
        rows.sort(key=lambda row: _first(row.boats), reverse=is_descending)
        return rows, True


def _first(boats: tuple[BoatOwner, ...]) -> str:
    """Who owns none stands at the end of the alphabet."""
    return boats[0].boat.name.casefold() if boats else "\U0010ffff"
