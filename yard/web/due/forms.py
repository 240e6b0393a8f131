"""The forms of an interval, of a piece of gear, and of what somebody found."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any
from uuid import uuid4

from django import forms
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from yard.models import Boat, Gear, Inspection, Interval, Package, Place, TacklePart
from yard.services.inspections import Looked
from yard.services.keep_interval import GEAR, INTERVAL
from yard.sheets.columns import Column, Kind
from yard.web.keeping.desk import Desk
from yard.web.keeping.form import RowForm, Section
from yard.web.orders.form import DayField

RATED = Column(key="rated_kg", heading=gettext_noop("rated for"), kind=Kind.MASS)
KINDS = {**dict(TacklePart.Kind.choices), **dict(Gear.Kind.choices)}


def _kinds_words(kinds: Sequence[str]) -> str:
    return ", ".join(str(KINDS.get(each, each)) for each in kinds) or _("all")


class IntervalForm(RowForm):
    """How often, of what, by whom, and where the figure comes from."""

    keeper = INTERVAL
    wide = frozenset({"kinds", "source", "cautions"})
    sections = (
        Section(gettext_lazy("What"), ("name", "covers", "kinds")),
        Section(gettext_lazy("How often"), ("months", "counts", "season", "by_whom")),
        Section(gettext_lazy("What is ordered when it is due"), ("package",)),
        Section(gettext_lazy("Where the figure comes from"), ("origin", "source", "cautions")),
    )
    says = {"kinds": _kinds_words}  # a mapping that nobody writes
    hints = {  # as above
        "kinds": gettext_lazy("Of a mooring’s parts, or of the yard’s gear. None ticked: all."),
        "season": gettext_lazy("When in the year, in your words."),
        "by_whom": gettext_lazy("A rigger, a contractor, a qualified person."),
        "package": gettext_lazy("Empty: it is shown as due, and nothing is ordered."),
        "source": gettext_lazy("A standard, the maker’s manual, the harbormaster’s rule."),
        "cautions": gettext_lazy("What can hurt somebody; it is printed with the job."),
    }

    class Meta:
        model = Interval
        fields = ("name", "covers", "months", "counts", "season", "by_whom", "package", "origin", "source", "cautions")
        labels = {  # as above
            "months": gettext_lazy("Months"),
            "counts": gettext_lazy("Counted"),
            "season": gettext_lazy("Season"),
            "by_whom": gettext_lazy("By whom"),
            "package": gettext_lazy("Package"),
            "origin": gettext_lazy("It is"),
        }

    kinds = forms.MultipleChoiceField(
        choices=[*TacklePart.Kind.choices, *Gear.Kind.choices],
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label=gettext_lazy("Of these kinds"),
    )

    def build(self) -> None:
        choice: Any = self.fields["package"]
        choice.queryset = Package.objects.filter(archived=False).order_by("name", "id")
        choice.empty_label = _("nothing")
        choice.required = False

    def clean_kinds(self) -> list[str]:
        return list(self.cleaned_data["kinds"])


class GearForm(RowForm):
    """A piece that lives depend on."""

    keeper = GEAR
    measures = {"rated_kg": RATED}  # a mapping that nobody writes
    days = ("in_use_since",)
    sections = (
        Section(gettext_lazy("The piece"), ("kind", "name", "mark", "rated_kg", "in_use_since")),
        Section(gettext_lazy("Where it is"), ("place", "boat")),
        Section(gettext_lazy("State"), ("out_of_use", "notes")),
    )
    hints = {  # as above
        "mark": gettext_lazy("As it stands on its tag."),
        "rated_kg": gettext_lazy("As its tag or its maker says. Empty: nobody has read it, so it lifts nothing."),
        "in_use_since": gettext_lazy("Its first inspection is counted from then."),
        "boat": gettext_lazy("Only where it is aboard a boat."),
    }

    class Meta:
        model = Gear
        fields = ("kind", "name", "mark", "place", "boat", "out_of_use", "notes")
        labels = {"mark": gettext_lazy("Number or tag"), "out_of_use": gettext_lazy("out of use")}  # as above

    def build(self) -> None:
        for key, rows in (
            ("place", Place.objects.filter(archived=False).order_by("sequence", "name")),
            ("boat", Boat.objects.filter(archived=False).order_by("name", "id")),
        ):
            choice: Any = self.fields[key]
            choice.queryset, choice.required, choice.empty_label = rows, False, _("none")


class LookedForm(forms.Form):
    """What somebody found, and when. form_key: sent twice, it is one."""

    done_on = DayField(gettext_lazy("Day"))
    by_whom = forms.CharField(max_length=80, label=gettext_lazy("By whom"))
    result = forms.ChoiceField(choices=Inspection.Result.choices, label=gettext_lazy("Found"), widget=forms.RadioSelect)
    note = forms.CharField(max_length=300, required=False, label=gettext_lazy("In your words"))
    form_key = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, data: Mapping[str, Any] | None = None, *, today: date, by_whom: str = "") -> None:
        super().__init__(data, initial={"done_on": today, "by_whom": by_whom, "form_key": uuid4()})
        self.today = today
        for key in ("done_on", "by_whom", "note"):
            self.fields[key].widget.attrs["class"] = "field"

    def clean_done_on(self) -> date:
        day: date | None = self.cleaned_data["done_on"]
        if day is None:
            raise forms.ValidationError(_("Say on which day."))
        if day > self.today:
            raise forms.ValidationError(_("{day} is still to come: write down what was done.").format(day=day))
        return day

    def looked(self) -> Looked:
        said = self.cleaned_data
        return Looked(said["done_on"], said["by_whom"], said["result"], said["note"])


INTERVAL_DESK = Desk(
    form=IntervalForm,
    one="interval",
    name="interval",
    template="due/interval.html",
    page=lambda row: reverse("intervals"),
)
GEAR_DESK = Desk(form=GearForm, one="piece of gear", name="gear", template="due/gear_form.html")
