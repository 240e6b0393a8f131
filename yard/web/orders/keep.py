"""The form of an order that is on file: dates, who goes first, notes, and who walked in."""

from __future__ import annotations

from typing import Any

from django import forms
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from yard.models import Order
from yard.services.keep_order import ORDER
from yard.web.keeping.desk import Desk
from yard.web.keeping.form import RowForm, Section
from yard.web.orders.form import GOES_FIRST

WALK_IN = ("walk_in_name", "walk_in_phone", "bag_tag")


def _first_words(value: int) -> str:
    return str(dict(GOES_FIRST)[str(value)])


class OrderForm(RowForm):
    """Of a boat on file nothing is asked that is only said of a walk-in."""

    keeper = ORDER
    days = ("earliest_date", "wanted_date", "latest_date", "promised_date")
    sections = (
        Section(_("When"), (*days, "goes_first")),
        Section(_("Who walked in"), WALK_IN),
        Section(_("What was said"), ("price_said", "notes")),
    )
    says = {"goes_first": _first_words}  # a mapping that nobody writes
    hints = {"promised_date": _("What the owner was told: the plan keeps it.")}  # as above
    goes_first = forms.TypedChoiceField(label=_("Goes first"), choices=GOES_FIRST, coerce=int)

    class Meta:
        model = Order
        fields = ("notes", "price_said", *WALK_IN)
        labels = {"walk_in_name": _("Name"), "walk_in_phone": _("Telephone")}  # as above

    def build(self) -> None:
        if self.row is not None and self.row.boat_id is not None:
            for key in WALK_IN:
                del self.fields[key]

    def parts(self) -> list[Any]:
        return [part for part in super().parts() if part.lines]


ORDER_DESK = Desk(
    form=OrderForm,
    one="order",
    name="order",
    template="orders/change.html",
    page=lambda row: reverse("order", args=[row.pk]),
    archives=False,
)
