"""Forms of a repair list: begin one, add a line, write down an answer."""

from __future__ import annotations

from typing import Any, cast
from uuid import uuid4

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Boat, Item, JobKind, Order, RepairLine
from yard.services.photograph_files import MOST_BYTES
from yard.services.repair_lists import Line
from yard.web.number_fields import ExactNumberField
from yard.web.packages.hours import MinutesField
from yard.web.packages.job_form import dress

USUAL_KIND = "sail_repair"
HOW = [
    ("by telephone", gettext_lazy("by telephone")),
    ("in the yard", gettext_lazy("in the yard")),
    ("in writing", gettext_lazy("in writing")),
]


class BeginForm(forms.Form):
    """What the list is of: her whole, or a thing of hers."""

    name = forms.CharField(label=gettext_lazy("What was looked at"), max_length=80, initial="")
    thing = forms.ModelChoiceField(
        label=gettext_lazy("Thing"),
        queryset=Item.objects.none(),
        required=False,
        empty_label=gettext_lazy("none on file"),
    )
    form_key = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, boat: Boat | None, order: Order | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        things = Item.objects.filter(boat=boat) if boat else Item.objects.filter(order=order)
        cast("forms.ModelChoiceField[Item]", self.fields["thing"]).queryset = things.order_by("kind", "name", "id")
        self.fields["form_key"].initial = uuid4()
        dress(self)


class LineForm(forms.Form):
    """One thing to repair."""

    words = forms.CharField(label=gettext_lazy("What is to be done"), max_length=200)
    hours = MinutesField(label=gettext_lazy("Hours"))
    price = ExactNumberField(label=gettext_lazy("Price"), required=False, min_value=0, max_digits=9, decimal_places=2)
    kind = forms.ModelChoiceField(label=gettext_lazy("Kind of work"), queryset=JobKind.objects.none(), empty_label=None)
    photograph = forms.FileField(label=gettext_lazy("Photograph"), required=False)
    form_key = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def __init__(self, data: Any = None, files: Any = None) -> None:
        super().__init__(data, files, auto_id="line-%s")
        kind = cast("forms.ModelChoiceField[JobKind]", self.fields["kind"])
        kind.queryset = (
            JobKind.objects.filter(archived=False).exclude(pausing="elapsed").order_by("trade", "name", "id")
        )
        kind.initial = kind.queryset.filter(key=USUAL_KIND).first()
        self.fields["form_key"].initial = uuid4()
        self.fields["photograph"].widget.attrs["accept"] = "image/jpeg,image/png,image/webp"
        dress(self)

    def clean_photograph(self) -> Any:
        sent = self.cleaned_data["photograph"]
        if sent is not None and sent.size > MOST_BYTES:
            raise forms.ValidationError(_("At most {n} MB: send a smaller photograph.").format(n=MOST_BYTES // 1024**2))
        return sent

    def line(self) -> Line:
        said = self.cleaned_data
        photograph = said["photograph"].read() if said["photograph"] is not None else None
        return Line(said["words"], said["kind"], said["hours"] or 0, said["price"], photograph)


class AnswerForm(forms.Form):
    """What the owner said to one line."""

    answer = forms.ChoiceField(choices=RepairLine.Answer.choices, required=False)
    said_by = forms.CharField(required=False, max_length=80)
    said_how = forms.ChoiceField(required=False, choices=HOW)
