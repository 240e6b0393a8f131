"""The form for somebody at the door: name, telephone, photograph, bag tag, price said, date wanted."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any, cast
from uuid import uuid4

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Package
from yard.queries.orders import bag_tag_meant, next_bag_tag
from yard.queries.packages import packages_in_use
from yard.services.order_package import OrderDates, Terms, WalkIn
from yard.services.photograph_files import MOST_BYTES
from yard.web.orders.form import FURTHEST, SOONEST, DayField, wrong_year

MOST_USUAL = "sail_repair"
"""What is on the form unless somebody chooses: a torn sail in July (common practice)."""


WANTED_IN = (
    ("", gettext_lazy("not said")),
    (1, gettext_lazy("tomorrow")),
    (3, gettext_lazy("in 3 days")),
    (7, gettext_lazy("in a week")),
    (14, gettext_lazy("in 2 weeks")),
)
"""What people at the door say most (common practice)."""


class WalkInForm(forms.Form):
    """Only the name and what is ordered must be said."""

    name = forms.CharField(label=gettext_lazy("Name"), max_length=80)
    phone = forms.CharField(label=gettext_lazy("Phone"), required=False, max_length=40)
    what = forms.CharField(label=gettext_lazy("What is wrong with it"), required=False, max_length=500)
    photograph = forms.FileField(label=gettext_lazy("Photograph"), required=False)
    bag_tag = forms.CharField(label=gettext_lazy("Bag tag"), required=False, max_length=20)
    price_said = forms.CharField(label=gettext_lazy("Price said"), required=False, max_length=40)
    wanted_in = forms.TypedChoiceField(
        label=gettext_lazy("Wanted"),
        choices=WANTED_IN,
        coerce=int,
        empty_value=None,
        required=False,
        widget=forms.RadioSelect,
    )
    wanted = DayField(gettext_lazy("or by a day"))
    package = forms.ModelChoiceField(
        label=gettext_lazy("Work"),
        queryset=Package.objects.none(),
        error_messages={"required": gettext_lazy("Choose what is to be done.")},
    )
    form_key = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        package = cast("forms.ModelChoiceField[Package]", self.fields["package"])
        package.queryset = packages_in_use().filter(needs_boat=False)
        package.initial = package.queryset.filter(key=MOST_USUAL).first()
        self.fields["form_key"].initial = uuid4()
        if not self.is_bound:
            self.fields["bag_tag"].initial = next_bag_tag()
        for name, field in self.fields.items():
            if name != "wanted_in":
                field.widget.attrs["class"] = "field"
        self.fields["name"].widget.attrs |= {"autocomplete": "off", "autocapitalize": "words", "autofocus": True}
        self.fields["phone"].widget.attrs["autocomplete"] = "off"
        self.fields["phone"].widget.input_type = "tel"
        self.fields["photograph"].widget.attrs |= {
            "accept": "image/jpeg,image/png,image/webp",
            "capture": "environment",
        }
        for name in ("name", "phone", "bag_tag"):
            self.fields[name].widget.attrs["enterkeyhint"] = "next"
        self.fields["price_said"].widget.attrs["inputmode"] = "decimal"

    def clean_photograph(self) -> UploadedFile[bytes] | None:
        sent: UploadedFile[bytes] | None = self.cleaned_data["photograph"]
        if sent is not None and sent.size is not None and sent.size > MOST_BYTES:
            raise forms.ValidationError(_("At most {n} MB: send a smaller photograph.").format(n=MOST_BYTES // 1024**2))
        return sent

    def clean_bag_tag(self) -> str:
        return bag_tag_meant(str(self.cleaned_data["bag_tag"]).strip())

    def clean_wanted(self) -> date | None:
        day: date | None = self.cleaned_data["wanted"]
        if day and not self.today.year - SOONEST <= day.year <= self.today.year + FURTHEST:
            raise forms.ValidationError(wrong_year(day, self.today))
        return day

    def dates(self) -> OrderDates:
        """The day that was typed; else so many days from today; else none."""
        typed, days = self.cleaned_data["wanted"], self.cleaned_data["wanted_in"]
        return OrderDates(wanted=typed or (self.today + timedelta(days=days) if days is not None else None))

    def terms(self) -> Terms:
        said = self.cleaned_data
        walk_in = WalkIn(
            name=said["name"].strip(),
            phone=said["phone"].strip(),
            bag_tag=said["bag_tag"],
            price_said=said["price_said"].strip(),
        )
        return Terms(walk_in=walk_in, notes=said["what"].strip(), form_key=said["form_key"])
