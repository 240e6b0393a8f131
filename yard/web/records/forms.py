"""The two small forms: a note with or without a photograph, and a measurement."""

from __future__ import annotations

from typing import Any, cast

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from yard.models import Boat, Job, Measurement, Order, YardSettings
from yard.services.keep_records import About, Measured, about_order
from yard.services.photograph_files import MOST_BYTES
from yard.web.number_fields import NumberField
from yard.web.units import height_unit, metres_of

LENGTH = Measurement.Unit.METRES


def subjects(boat: Boat | None, orders: list[Order]) -> dict[str, tuple[str, About]]:
    """What a record may be about, by the value of the form: the boat, her orders, their jobs."""
    found: dict[str, tuple[str, About]] = {}
    if boat is not None:
        found["boat"] = (boat.name, About(boat))
    for order in orders:
        found[f"order-{order.pk}"] = (
            _("Order {ref}: {name}").format(ref=order.ref, name=order.name),
            about_order(order),
        )
        for job in order.jobs.all():
            if job.state != Job.State.CANCELLED:
                found[f"job-{job.pk}"] = (_("Job: {name}").format(name=job.name), about_order(order, job))
    return found


class AboutForm(forms.Form):
    """about: one of the subjects; the first is chosen."""

    about = forms.ChoiceField(label=gettext_lazy("About"), widget=forms.Select(attrs={"class": "field"}))

    def __init__(self, *args: Any, choices: dict[str, tuple[str, About]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.subjects = choices
        cast(forms.ChoiceField, self.fields["about"]).choices = [
            (value, label) for value, (label, _about) in choices.items()
        ]

    def subject(self) -> About:
        return self.subjects[self.cleaned_data["about"]][1]


class NoteForm(AboutForm):
    """Words, a photograph, or both."""

    text = forms.CharField(
        label=gettext_lazy("Note"),
        required=False,
        max_length=5000,
        widget=forms.Textarea(attrs={"class": "field", "rows": 2}),
    )
    photograph = forms.FileField(
        label=gettext_lazy("Photograph"),
        required=False,
        widget=forms.FileInput(attrs={"class": "field", "accept": "image/jpeg,image/png,image/webp"}),
    )
    field_order = ("text", "photograph", "about")

    def clean_photograph(self) -> UploadedFile[bytes] | None:
        sent: UploadedFile[bytes] | None = self.cleaned_data["photograph"]
        if sent is not None and sent.size is not None and sent.size > MOST_BYTES:
            raise forms.ValidationError(_("At most {n} MB: send a smaller photograph.").format(n=MOST_BYTES // 1024**2))
        return sent

    def clean(self) -> None:
        asked = self.cleaned_data
        if not self.errors and not asked["text"].strip() and asked["photograph"] is None:
            self.add_error("text", _("Write something, or choose a photograph."))


class MeasureForm(AboutForm):
    """A measure by its name, typed in the yard's unit where it is a length."""

    name = forms.CharField(
        label=gettext_lazy("What was measured"),
        max_length=80,
        widget=forms.TextInput(attrs={"class": "field", "autocomplete": "off", "list": "measure-names"}),
    )
    value = NumberField(
        label=gettext_lazy("How much"),
        widget=forms.NumberInput(attrs={"class": "field num", "step": "any", "min": "0", "inputmode": "decimal"}),
    )
    unit = forms.ChoiceField(
        label=pgettext_lazy("in which unit", "In"),
        choices=Measurement.Unit.choices,
        widget=forms.Select(attrs={"class": "field"}),
    )
    note = forms.CharField(
        label=gettext_lazy("Beside it"),
        required=False,
        max_length=200,
        widget=forms.TextInput(attrs={"class": "field"}),
    )
    field_order = ("name", "value", "unit", "note", "about")

    def __init__(self, *args: Any, yard: YardSettings, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.yard = yard
        shown = [(key, height_unit(yard) if key == LENGTH else label) for key, label in Measurement.Unit.choices]
        cast(forms.ChoiceField, self.fields["unit"]).choices = shown

    def measured(self) -> Measured:
        asked = self.cleaned_data
        unit = Measurement.Unit(asked["unit"])
        value = metres_of(asked["value"], self.yard) if unit == LENGTH else asked["value"]
        return Measured(asked["name"], value, unit, asked["note"])
