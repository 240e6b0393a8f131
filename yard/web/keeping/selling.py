"""The form on which a boat is sold: whose share, to whom, from which day on, and what goes with her."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import uuid4

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.day_names import said as said_day
from yard.models import Boat, CalendarAddress, Mooring, Order, Owner, SaleToCome, WholeChange
from yard.queries.accounts import called
from yard.services.whole_change.sale import Sale, calendars_of, current_shares
from yard.web.orders.form import DayField
from yard.web.refusal import Refusable
from yard.web.request import form_key_in
from yard.web.units import local

PAPERS_DAYS = 14
"""Until a new owner's permit and insurance are here (common practice; the harbormaster decides)."""
STAYS, GOES = "stays", "goes"


class SaleForm(Refusable, forms.Form):
    """version: hers, when the page was read. form_key: sent twice, it is one sale."""

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    form_key = forms.UUIDField(widget=forms.HiddenInput, required=False)
    sellers = forms.TypedMultipleChoiceField(
        label=gettext_lazy("Who sells"), coerce=int, required=False, widget=forms.CheckboxSelectMultiple
    )
    buyer = forms.ModelChoiceField(
        Owner.objects.none(),
        label=gettext_lazy("New owner on file"),
        required=False,
        empty_label=gettext_lazy("somebody new, below"),
    )
    new_name = forms.CharField(label=gettext_lazy("Name"), required=False, max_length=120)
    new_phone = forms.CharField(label=gettext_lazy("Telephone"), required=False, max_length=40)
    new_email = forms.EmailField(label=gettext_lazy("E-mail"), required=False)
    moorings_stay = forms.TypedMultipleChoiceField(
        label=gettext_lazy("Moorings that stay with the seller"),
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    withdrawn = forms.TypedMultipleChoiceField(
        label=gettext_lazy("Orders that the new owner does not take over"),
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    calendars_end = forms.TypedMultipleChoiceField(
        label=gettext_lazy("Calendars that end"), coerce=int, required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, data: Any = None, *, boat: Boat, today: date) -> None:
        super().__init__(data)
        self.fields["sold_on"] = DayField(_("Sold on"), initial=today)
        self.fields["papers_by"] = DayField(
            _("Permit and insurance expected by"), initial=today + timedelta(days=PAPERS_DAYS)
        )
        self.fields["insured_until"] = DayField(_("New owner insured until"))
        self.fields["sold_on"].required = True
        self.fields["version"].initial, self.fields["form_key"].initial = boat.version, uuid4()
        shares = list(current_shares(boat))
        buyer: Any = self.fields["buyer"]
        buyer.queryset = Owner.objects.filter(archived=False).order_by("name", "id")
        self._offer("sellers", [(row.pk, row.owner.name) for row in shares], ticked=True)
        moorings = Mooring.objects.filter(permit_boat=boat).order_by("ref", "id")
        self._offer("moorings_stay", [(row.pk, f"{row.ref} {row.position_note}".strip()) for row in moorings])
        orders = boat.orders.filter(state=Order.State.OPEN).order_by("made_at", "id")
        self._offer("withdrawn", [(row.pk, f"{row.name}, {row.ref}") for row in orders])
        self._offer("calendars_end", [(row.pk, _calendar(row)) for row in calendars_of(boat)], ticked=True)
        for name in ("buyer", "new_name", "new_phone", "new_email"):
            self.fields[name].widget.attrs["class"] = "field"
        self.fields["new_phone"].widget.attrs["type"] = "tel"

    def _offer(self, name: str, choices: list[tuple[int, str]], *, ticked: bool = False) -> None:
        field: Any = self.fields[name]
        field.choices = choices
        field.initial = [pk for pk, _ in choices] if ticked else []

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if "buyer" not in self.errors and not cleaned.get("buyer") and not cleaned.get("new_name", "").strip():
            self.add_error("buyer", _("Say who bought her: somebody on file, or a new name below."))
        if cleaned.get("buyer") and cleaned.get("new_name", "").strip():
            self.add_error("new_name", _("Either an owner on file or a new name: leave one empty."))
        return cleaned

    def sale(self) -> Sale:
        said = self.cleaned_data
        new = {"name": said["new_name"].strip(), "phone": said["new_phone"].strip(), "email": said["new_email"]}
        return Sale(
            sold_on=said["sold_on"],
            sellers=frozenset(said["sellers"]),
            buyer=said["buyer"] or new,
            moorings_stay=frozenset(said["moorings_stay"]),
            withdrawn=frozenset(said["withdrawn"]),
            calendars_end=frozenset(said["calendars_end"]),
            papers_by=said["papers_by"],
            insured_until=said["insured_until"],
            form_key=said["form_key"],
        )


def done_by_form(key: str) -> WholeChange | None:
    """The sale that this form made before: by then its sellers own her no more, so that it would not be valid."""
    known = form_key_in(key)
    return WholeChange.objects.filter(form_key=known).first() if known is not None else None


def agreed_by_form(key: str) -> SaleToCome | None:
    """The sale to come that this form kept before."""
    known = form_key_in(key)
    return SaleToCome.objects.filter(form_key=known).first() if known is not None else None


def _calendar(address: CalendarAddress) -> str:
    words = [address.name]
    if address.made_by:
        words.append(_("made by {who}").format(who=called(address.made_by)))
    if address.last_fetched_at:
        words.append(_("last read {day}").format(day=said_day(local(address.last_fetched_at), "d M")))
    return ", ".join(words)
