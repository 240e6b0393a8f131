"""The small forms of her page: what is known of a fact, her draft, and what her owner was told."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import BoatOwner, Fact, Order, Telling, YardSettings
from yard.services.say_fact import Expected, Here, NotKnown
from yard.services.tellings import Told
from yard.web.number_fields import NumberField
from yard.web.units import height_unit, local, metres_of


class DateInput(forms.DateInput):
    input_type = "date"

    def __init__(self) -> None:
        super().__init__(attrs={"class": "field"}, format="%Y-%m-%d")


def _text(**attrs: str) -> forms.TextInput:
    return forms.TextInput(attrs={"class": "field", **attrs})


class SeenForm(forms.Form):
    """version: the row's, when the page was read."""

    version = forms.IntegerField(widget=forms.HiddenInput)


class HereForm(SeenForm):
    since = forms.DateField(label=gettext_lazy("Here since"), widget=DateInput)

    def said(self) -> Here:
        return Here(self.cleaned_data["since"])


class ExpectedForm(SeenForm):
    on = forms.DateField(label=gettext_lazy("Expected on"), widget=DateInput)
    told_by = forms.CharField(
        label=gettext_lazy("Who says so"), max_length=120, required=False, widget=_text(autocomplete="off")
    )
    guess = forms.BooleanField(label=gettext_lazy("a guess of ours"), required=False)

    def said(self) -> Expected:
        asked = self.cleaned_data
        return Expected(asked["on"], asked["told_by"], asked["guess"])


class UnknownForm(SeenForm):
    def said(self) -> NotKnown:
        return NotKnown()


class DraftForm(SeenForm):
    """Her draft in the unit that the yard reads; the version is the boat's."""

    draft = NumberField(
        widget=forms.NumberInput(attrs={"class": "field num", "step": "any", "min": "0", "inputmode": "decimal"})
    )

    def __init__(self, *args, yard: YardSettings, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.yard = yard
        self.fields["draft"].label = _("Draft, {unit}").format(unit=height_unit(yard))

    def draft_m(self) -> float:
        return metres_of(self.cleaned_data["draft"], self.yard)


SAYINGS: dict[str, type[HereForm] | type[ExpectedForm] | type[UnknownForm]] = {
    "here": HereForm,
    "expected": ExpectedForm,
    "unknown": UnknownForm,
}


class FactForms:
    """The forms in a fact's row, with ids of their own; one of them may be bound to what was sent."""

    def __init__(self, fact: Fact, today: date, *, sent: str = "", form: forms.Form | None = None) -> None:
        self.fact, self.sent = fact, sent
        self.here = form if sent == "here" else self._new(HereForm, "here", since=today)
        self.expected = (
            form
            if sent == "expected"
            else self._new(ExpectedForm, "expected", on=fact.expected_date, told_by=fact.told_by, guess=fact.guess)
        )
        self.unknown = form if sent == "unknown" else self._new(UnknownForm, "unknown")

    @property
    def trouble(self) -> list[str]:
        """What is wrong with the form as a whole, as that somebody else was quicker."""
        form = {"here": self.here, "expected": self.expected, "unknown": self.unknown}.get(self.sent)
        return [str(error) for error in form.non_field_errors()] if form is not None else []

    def _new(self, kind: type[SeenForm], name: str, **initial: object) -> SeenForm:
        return kind(initial={"version": self.fact.version, **initial}, auto_id=fact_ids(self.fact, name))


def fact_ids(fact: Fact, name: str) -> str:
    return f"fact-{fact.pk}-{name}-%s"


class TellForm(forms.Form):
    """What was said to an owner, noted by hand."""

    state = forms.ChoiceField(choices=Telling.State.choices, label=gettext_lazy("What was said"), initial="day")
    day = forms.DateField(label=gettext_lazy("Day, or a day of the week told"), widget=DateInput, required=False)
    reserve = forms.DateField(label=gettext_lazy("Reserve day"), widget=DateInput, required=False)
    how = forms.ChoiceField(
        choices=[pair for pair in Telling.How.choices if pair[0] != "page"], label=gettext_lazy("How")
    )
    at = forms.DateTimeField(
        label=gettext_lazy("When it was said"),
        widget=forms.DateTimeInput(attrs={"class": "field", "type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
    )
    said = forms.CharField(
        label=gettext_lazy("In what words"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"class": "field", "rows": 2}),
    )

    def __init__(
        self, data: QueryDict | None = None, *, orders: Sequence[Order], owned: Sequence[BoatOwner], now: datetime
    ) -> None:
        """orders: those that may be told of; owned: whose she is."""
        super().__init__(data, auto_id="tell-%s")
        owners = [row.owner for row in owned]
        self.orders, self.owners = {order.pk: order for order in orders}, {owner.pk: owner for owner in owners}
        self.fields["order"] = forms.TypedChoiceField(
            label=_("Of which order"), choices=[(order.pk, order.name) for order in orders], coerce=int
        )
        self.fields["owner"] = forms.TypedChoiceField(
            label=_("Who was told"),
            choices=[(owner.pk, owner.name) for owner in owners],
            coerce=int,
            required=bool(owners),
            empty_value=None,
        )
        self.order_fields(["order", "owner", "state", "day", "reserve", "how", "at", "said"])
        self.initial.setdefault("at", local(now))
        self.initial.setdefault("how", owners[0].prefers if owners else "call")
        for name in ("order", "owner", "state", "how"):
            self.fields[name].widget.attrs["class"] = "field"

    def told(self) -> Told:
        asked = self.cleaned_data
        return Told(
            owner=self.owners.get(asked["owner"]),
            state=Telling.State(asked["state"]),
            how=Telling.How(asked["how"]),
            at=asked["at"],
            day=asked["day"],
            reserve=asked["reserve"],
            said=asked["said"],
        )
