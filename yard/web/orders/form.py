"""The form on which an order is taken: a boat on file or a walk-in, a package, options, dates."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, cast
from uuid import UUID, uuid4

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from yard.day_names import said
from yard.models import Boat, Mooring, Package
from yard.queries.packages import packages_in_use
from yard.services.order_package import OrderDates, Terms, WalkIn
from yard.sheets.columns import CellRefused
from yard.sheets.dates import day as read_day
from yard.web.orders.words import or_words
from yard.web.request import number_in

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

GOES_FIRST = [("1", gettext_lazy("as all")), ("2", gettext_lazy("before most")), ("3", gettext_lazy("before all"))]
DATE_UNREAD = gettext_lazy("That is no date: write 14 May 2027, May 14 2027 or 2027-05-14.")
SOONEST, FURTHEST = 1, 3
"""Years before and after this one in which an owner's date can lie: beyond them a year was mistyped."""


class DayField(forms.DateField):
    """A day of the yard's calendar, from the browser's own date field or in words, as sheets have them."""

    def __init__(self, label: StrOrPromise, **kwargs: Any) -> None:
        super().__init__(
            label=label,
            required=False,
            input_formats=["%Y-%m-%d"],
            error_messages={"invalid": DATE_UNREAD},
            widget=forms.DateInput(attrs={"type": "date", "class": "field"}, format="%Y-%m-%d"),
            **kwargs,
        )

    def to_python(self, value: Any) -> date | None:
        try:
            return super().to_python(value)
        except ValidationError:
            try:
                return date.fromisoformat(read_day(str(value), order=""))
            except CellRefused:
                raise ValidationError(self.error_messages["invalid"], code="invalid") from None


class DatesForm(forms.Form):
    """The owner's dates, what was promised, and who goes first."""

    earliest = DayField(gettext_lazy("Not before"))
    wanted = DayField(gettext_lazy("Wanted by"))
    latest = DayField(gettext_lazy("At the latest"))
    promised = DayField(gettext_lazy("Promised"))
    goes_first = forms.TypedChoiceField(
        label=gettext_lazy("Goes first"),
        choices=GOES_FIRST,
        coerce=int,
        initial="1",
        widget=forms.Select(attrs={"class": "field"}),
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for name in ("earliest", "wanted", "latest", "promised"):
            day = cleaned.get(name)
            if day and not self.today.year - SOONEST <= day.year <= self.today.year + FURTHEST:
                self.add_error(name, wrong_year(day, self.today))
        _in_order(
            self, cleaned, "earliest", "wanted", _("She is wanted before she may be touched: give a day from {day} on.")
        )
        _in_order(
            self,
            cleaned,
            "wanted",
            "latest",
            _("The latest date lies before the wanted one: give a day from {day} on."),
        )
        _in_order(
            self,
            cleaned,
            "earliest",
            "latest",
            _("The latest date lies before the earliest: give a day from {day} on."),
        )
        return cleaned

    def dates(self) -> OrderDates:
        cleaned = self.cleaned_data
        return OrderDates(
            earliest=cleaned["earliest"],
            wanted=cleaned["wanted"],
            latest=cleaned["latest"],
            promised=cleaned["promised"],
        )


def wrong_year(day: date, today: date) -> str:
    return _("The year {year} cannot be right: it is {now} now.").format(year=day.year, now=today.year)


def _in_order(form: forms.Form, cleaned: dict[str, Any], first: str, then: str, trouble: str) -> None:
    one, other = cleaned.get(first), cleaned.get(then)
    if one and other and other < one and then not in form.errors:
        form.add_error(then, trouble.format(day=said(one, "j F")))


class OrderForm(DatesForm):
    """One order. `boats`: those that may be named; `shown`: the package whose options stood on the page."""

    boat = forms.CharField(
        label=gettext_lazy("Boat"),
        required=False,
        max_length=120,
        widget=forms.TextInput(
            attrs={"class": "field", "list": "boats", "autocomplete": "off", "autocapitalize": "words"}
        ),
    )
    walk_in_name = forms.CharField(label=gettext_lazy("Name"), required=False, max_length=80)
    walk_in_phone = forms.CharField(label=gettext_lazy("Phone"), required=False, max_length=40)
    what = forms.CharField(label=gettext_lazy("What is to be done"), required=False, max_length=500)
    price_said = forms.CharField(label=gettext_lazy("Price said"), required=False, max_length=40)
    bag_tag = forms.CharField(label=gettext_lazy("Bag tag"), required=False, max_length=20)
    package = forms.ModelChoiceField(
        label=gettext_lazy("Package"),
        queryset=Package.objects.none(),
        error_messages={"required": gettext_lazy("Choose what is ordered.")},
    )
    shown = forms.IntegerField(required=False, widget=forms.HiddenInput)
    option = forms.MultipleChoiceField(required=False)
    to_mooring = forms.ModelChoiceField(
        label=gettext_lazy("Goes to"),
        queryset=Mooring.objects.none(),
        required=False,
        empty_label=gettext_lazy("the mooring of her permit"),
    )
    covers_gate = forms.BooleanField(label=gettext_lazy("Covers must be on before she is delivered"), required=False)
    fixed_delivery_at = forms.DateTimeField(
        label=gettext_lazy("Road or ferry, fixed at"),
        required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"],
        error_messages={"invalid": gettext_lazy("Write the road or ferry date as 2027-05-20 11:00.")},
    )
    form_key = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, boats: Sequence[Boat], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.boats = boats
        cast("forms.ModelChoiceField[Package]", self.fields["package"]).queryset = packages_in_use()
        cast("forms.ModelChoiceField[Mooring]", self.fields["to_mooring"]).queryset = Mooring.objects.filter(
            archived=False
        )
        chosen = self.package_chosen()
        self.known_options = [(each.key, each.name) for each in chosen.options.all()] if chosen else []
        cast(forms.ChoiceField, self.fields["option"]).choices = self.known_options
        self.fields["form_key"].initial = uuid4()
        for name in ("walk_in_name", "walk_in_phone", "what", "price_said", "bag_tag", "package", "to_mooring"):
            self.fields[name].widget.attrs["class"] = "field"
        self.fields["fixed_delivery_at"].widget.attrs["class"] = "field"
        self.fields["walk_in_phone"].widget.input_type = "tel"

    def package_chosen(self) -> Package | None:
        """The package named by what was sent, or that the page was opened with."""
        value = self.data.get("package") if self.is_bound else self.initial.get("package")
        pk = number_in(str(getattr(value, "pk", value) or ""))
        return packages_in_use().filter(pk=pk).first() if pk else None

    def boat_named(self) -> Boat | None:
        """The one boat that the typed words name, without complaint where there is none."""
        typed = self.data.get("boat", "") if self.is_bound else self.initial.get("boat", "")
        found = boats_named(self.boats, str(typed))
        return found[0] if len(found) == 1 else None

    def options_on(self) -> frozenset[str] | None:
        """Options as ticked; None where the page showed those of another package, or of none."""
        package = self.package_chosen()
        if package is None or not self.is_bound or self.data.get("shown") != str(package.pk):
            return None
        sent = cast(QueryDict, self.data).getlist("option")
        return frozenset(key for key, _name in self.known_options if key in sent)

    def clean_boat(self) -> Boat | None:
        typed = self.cleaned_data["boat"].strip()
        if not typed:
            return None
        found = boats_named(self.boats, typed)
        if len(found) == 1:
            return found[0]
        raise ValidationError(_which(self.boats, found, typed))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        named = bool(cleaned.get("boat"))
        walk_in = bool(cleaned.get("walk_in_name", "").strip())
        if "boat" not in self.errors and not named and not walk_in:
            self.add_error("boat", _("Name the boat, or the person who walked in."))
        if named and walk_in:
            self.add_error("walk_in_name", _("Either a boat on file or somebody who walked in: leave one empty."))
        return cleaned

    def terms(self) -> Terms:
        cleaned = self.cleaned_data
        walk_in = WalkIn(
            name=cleaned["walk_in_name"].strip(),
            phone=cleaned["walk_in_phone"].strip(),
            bag_tag=cleaned["bag_tag"].strip(),
            price_said=cleaned["price_said"].strip(),
        )
        key: UUID | None = cleaned["form_key"]
        return Terms(
            goes_first=cleaned["goes_first"],
            covers_gate_delivery=cleaned["covers_gate"],
            to_mooring=cleaned["to_mooring"],
            walk_in=walk_in,
            notes=cleaned["what"].strip(),
            form_key=key,
        )

    def dates(self) -> OrderDates:
        said = super().dates()
        return OrderDates(
            earliest=said.earliest,
            wanted=said.wanted,
            latest=said.latest,
            promised=said.promised,
            fixed_delivery_at=self.cleaned_data["fixed_delivery_at"],
        )


def boat_label(boat: Boat) -> str:
    """As the list of boats offers her: her name, and the yard's own mark for her."""
    return f"{boat.name} ({boat.ref})"


def boats_named(boats: Sequence[Boat], typed: str) -> list[Boat]:
    """Boats that the typed words name: by label or mark, else by name, else by the beginning of a name."""
    words = " ".join(typed.split()).casefold()
    if not words:
        return []
    exact = [boat for boat in boats if words in (boat_label(boat).casefold(), boat.ref.casefold())]
    named = [boat for boat in boats if boat.name.casefold() == words]
    return exact or named or [boat for boat in boats if boat.name.casefold().startswith(words)]


def _which(boats: Sequence[Boat], found: list[Boat], typed: str) -> str:
    if found:
        names = ", ".join(boat_label(boat) for boat in found[:6])
        may_be = ngettext(
            "“{typed}” may be {n} boat: {names}. Choose one of them.",
            "“{typed}” may be {n} boats: {names}. Choose one of them.",
            len(found),
        )
        return may_be.format(typed=typed, n=len(found), names=names)
    near = difflib.get_close_matches(typed.casefold(), {boat.name.casefold(): boat for boat in boats}, n=3, cutoff=0.6)
    names = or_words(list(dict.fromkeys(boat.name for boat in boats if boat.name.casefold() in near)))
    if names:
        return _("No boat is called “{typed}”. Did you mean {names}?").format(typed=typed, names=names)
    said = _("No boat is called “{typed}”. Enter her first, or take the order as a walk-in.")
    return said.format(typed=typed)
