"""An owner's page and form, and the form of a share in a boat."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from django import forms
from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from yard.models import Boat, BoatOwner, CalendarAddress, Owner, SaleToCome, Telling, WholeChange
from yard.queries.duplicates import Pair, owners_twice
from yard.services import keeping
from yard.services.keep_owner import OWNER, OWNERSHIP
from yard.services.keeping import Kept, Refused, Writer
from yard.web.keeping.desk import Desk
from yard.web.keeping.form import RowForm, Section
from yard.web.keeping.telephones import Line, lines_of
from yard.web.request import YardRequest, number_in

TOLD = 8


class OwnerForm(RowForm):
    keeper = OWNER
    sections = (
        Section(_("Who"), ("name", "language")),
        Section(_("How to reach them"), ("phone", "email", "other_phones", "address", "prefers")),
        Section(_("Notes"), ("notes",)),
    )
    hints = {  # a mapping that nobody writes
        "language": _("Letters and calls; empty where nobody asked."),
        "other_phones": _("One a line: the number, then whose it is, as 401 555 0142, at work."),
        "notes": _("What is to be done with a boat in a storm stands on the boat's own form."),
    }

    class Meta:
        model = Owner
        fields = OWNER.fields
        labels = {  # Django reads it once, and nobody writes it
            "phone": _("Telephone"),
            "other_phones": _("Other telephones"),
            "email": _("E-mail"),
            "prefers": _("Is reached best by"),
        }

    def build(self) -> None:
        self.fields["phone"].widget.input_type = "tel"
        for key in ("name", "phone", "email", "address"):
            self.fields[key].widget.attrs["autocomplete"] = "off"  # the browser would offer whoever sits at it


class ShareForm(RowForm):
    """From when to when somebody owns a boat, until when she is insured, and who is called first."""

    keeper = OWNERSHIP
    days = ("starts_on", "ends_on", "insurance_expires_on")
    needed = frozenset({"starts_on"})
    sections = (Section(_("Since when"), ("starts_on", "ends_on", "insurance_expires_on", "told_first")),)
    hints = {"ends_on": _("The first day on which the boat is no longer theirs. Empty: theirs still.")}  # as above

    class Meta:
        model = BoatOwner
        fields = ("told_first",)
        labels = {"told_first": _("is called first")}  # as above

    def build(self) -> None:
        self.fields["starts_on"].initial = self.today


@dataclass(frozen=True)
class OwnedBoat:
    share: BoatOwner
    insurance_over: bool


@dataclass(frozen=True)
class OwnerPage:
    """now, before: boats owned today, and those no longer. to_come: sales of boats of theirs, and to them, that wait.

    twins: owners that look like the same.
    """

    owner: Owner
    phones: tuple[Line, ...]
    now: tuple[OwnedBoat, ...]
    before: tuple[OwnedBoat, ...]
    to_come: tuple[SaleToCome, ...]
    told: tuple[Telling, ...]
    calendars: tuple[CalendarAddress, ...]
    wholes: tuple[WholeChange, ...]
    twins: tuple[Pair[Owner], ...]


def owner_page(owner: Owner, today: date) -> OwnerPage:
    """Eight queries, however many boats and tellings."""
    shares = owner.ownerships.select_related("boat").order_by("boat__name", "-starts_on", "id")
    boats = [OwnedBoat(each, _over(each.insurance_expires_on, today)) for each in shares]
    told = owner.tellings.select_related("boat", "order", "told_by").order_by("-told_at", "-id")[:TOLD]
    return OwnerPage(
        owner=owner,
        phones=lines_of(owner),
        now=tuple(each for each in boats if each.share.ends_on is None and not each.share.boat.archived),
        before=tuple(each for each in boats if each.share.ends_on is not None or each.share.boat.archived),
        to_come=tuple(_sales_to_come(owner)),
        told=tuple(told),
        calendars=tuple(owner.addresses.filter(withdrawn_at=None).order_by("name", "id")),
        wholes=tuple(owner.whole_changes.select_related("made_by").order_by("-made_at", "-id")),
        twins=() if owner.archived else tuple(owners_twice(owner)),
    )


def _sales_to_come(owner: Owner) -> QuerySet[SaleToCome]:
    theirs = Q(boat__ownerships__owner=owner, boat__ownerships__ends_on=None) | Q(buyer=owner)
    rows = SaleToCome.objects.filter(theirs, called_off_at=None, carried_out_at=None).distinct()
    return rows.select_related("boat", "buyer", "made_by").order_by("sold_on", "id")


def _over(day: date | None, today: date) -> bool:
    return day is not None and day < today


def _share_about(request: YardRequest, row: Any) -> dict[str, Any]:
    return {"boat": row.boat, "owner": row.owner} if row is not None else {}


def _after_share(row: Any) -> str:
    return reverse("owner", args=[row.owner_id])


OWNER_DESK = Desk(
    form=OwnerForm,
    one="owner",
    name="owner",
    template="keeping/owner_form.html",
    page=lambda row: reverse("owner", args=[row.pk]),
)
SHARE_DESK = Desk(
    form=ShareForm,
    one="share",
    name="share",
    template="keeping/share.html",
    page=_after_share,
    about=_share_about,
    archives=False,
)


class WhoseForm(forms.Form):
    """A new share: which owner and which boat; the page names one of the two."""

    owner = forms.ModelChoiceField(Owner.objects.none(), label=_("Owner"))
    boat = forms.ModelChoiceField(Boat.objects.none(), label=_("Boat"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for key, rows in (("owner", Owner.objects), ("boat", Boat.objects)):
            choice: Any = self.fields[key]
            choice.queryset = rows.filter(archived=False).order_by("name", "id")
            choice.widget.attrs["class"] = "field"


def share_forms(request: YardRequest) -> tuple[WhoseForm, RowForm]:
    """Empty, or with what was sent; who or which boat the address names stands in it."""
    named = {key: request.GET.get(key, "") for key in ("owner", "boat")}
    known = {key: value for key, value in named.items() if number_in(value)}
    return WhoseForm(request.POST or None, initial=known), SHARE_DESK.filled(request)


def new_share(whose: WhoseForm, form: RowForm, *, writer: Writer) -> Kept[BoatOwner] | Refused:
    """The share of both valid forms."""
    more = {key: whose.cleaned_data[key] for key in ("owner", "boat")}
    return keeping.add(OWNERSHIP, form.values(), writer=writer, form_key=form.key(), **more)
