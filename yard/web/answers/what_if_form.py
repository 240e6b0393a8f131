"""What a person asks: one more person, a place closed, dates moved, longer hours."""

from __future__ import annotations

from datetime import date, timedelta
from functools import reduce
from typing import TYPE_CHECKING, Any, cast
from uuid import uuid4

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from yard.models import Place, Skill
from yard.pictures.lettering import day_month

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

DATE = forms.DateInput(attrs={"type": "date"})
LONGEST_MIN = 240


def _weeks() -> list[tuple[str, str]]:
    earlier = [ngettext("{n} week earlier", "{n} weeks earlier", n).format(n=n) for n in (1, 2, 3, 4)]
    later = [ngettext("{n} week later", "{n} weeks later", n).format(n=n) for n in (1, 2, 3, 4)]
    return [(str(n), words) for n, words in zip((-1, -2, -3, -4, 1, 2, 3, 4), (*earlier, *later), strict=True)]


class WhatIfForm(forms.Form):
    """title heads it. change and says are there once it is valid: what the row keeps, and the same as a sentence."""

    title: StrOrPromise = ""
    form_key = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["form_key"].initial = uuid4()
        if "first" in self.fields:
            monday = today + timedelta(days=7 - today.weekday())
            self.fields["first"].initial, self.fields["last"].initial = monday, monday + timedelta(days=13)

    def clean(self) -> dict[str, Any]:
        given: dict[str, Any] = super().clean() or {}
        first, last = given.get("first"), given.get("last")
        if first and last and last < first:
            self.add_error("last", _("The last day is before the first."))
        if last and last < self.today:
            self.add_error("last", _("These days are over: choose later ones."))
        return given

    @property
    def change(self) -> dict[str, Any]:
        raise NotImplementedError

    @property
    def says(self) -> str:
        raise NotImplementedError

    def _span(self) -> dict[str, str]:
        given = self.cleaned_data
        return {"first": given["first"].isoformat(), "last": given["last"].isoformat()}

    def _named_days(self) -> dict[str, str]:
        """The gaps `first` and `last` of a sentence."""
        return {"first": day_month(self.cleaned_data["first"]), "last": day_month(self.cleaned_data["last"])}


class PersonForm(WhatIfForm):
    title = gettext_lazy("One more person")
    skills = forms.ModelMultipleChoiceField(
        label=gettext_lazy("who has"), queryset=Skill.objects.none(), widget=forms.CheckboxSelectMultiple
    )
    first = forms.DateField(label=gettext_lazy("from"), widget=DATE)
    last = forms.DateField(label=gettext_lazy("last day"), widget=DATE)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = cast("forms.ModelMultipleChoiceField[Skill]", self.fields["skills"])
        field.queryset = Skill.objects.order_by("name")

    @property
    def change(self) -> dict[str, Any]:
        return {"type": "person", "skills": {row.key: 1 for row in self.cleaned_data["skills"]}, **self._span()}

    @property
    def says(self) -> str:
        names = reduce(
            lambda first, last: _("{first} and {last}").format(first=first, last=last),
            [row.name.lower() for row in self.cleaned_data["skills"]],
        )
        return _("One more person ({skills}) from {first} to {last}").format(skills=names, **self._named_days())


class PlaceForm(WhatIfForm):
    title = gettext_lazy("A place closed")
    place = forms.ModelChoiceField(label=gettext_lazy("which"), queryset=Place.objects.none(), empty_label=None)
    first = forms.DateField(label=gettext_lazy("from"), widget=DATE)
    last = forms.DateField(label=gettext_lazy("last day"), widget=DATE)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = cast("forms.ModelChoiceField[Place]", self.fields["place"])
        field.queryset = Place.objects.filter(archived=False).order_by("sequence", "name")

    @property
    def change(self) -> dict[str, Any]:
        return {"type": "place", "place": f"place-{self.cleaned_data['place'].pk}", **self._span()}

    @property
    def says(self) -> str:
        place = self.cleaned_data["place"].name
        return _("{place} closed from {first} to {last}").format(place=place, **self._named_days())


class DatesForm(WhatIfForm):
    title = gettext_lazy("All orders earlier or later")
    weeks = forms.TypedChoiceField(
        label=gettext_lazy("all dates"),
        coerce=int,
        initial="-2",
        choices=_weeks,
    )

    @property
    def change(self) -> dict[str, Any]:
        return {"type": "dates", "weeks": self.cleaned_data["weeks"]}

    @property
    def says(self) -> str:
        weeks: int = self.cleaned_data["weeks"]
        if weeks > 0:
            return ngettext("All orders {n} week later", "All orders {n} weeks later", weeks).format(n=weeks)
        return ngettext("All orders {n} week earlier", "All orders {n} weeks earlier", -weeks).format(n=-weeks)


class HoursForm(WhatIfForm):
    title = gettext_lazy("Longer hours for everybody")
    after_min = forms.IntegerField(
        label=gettext_lazy("minutes later home"), min_value=0, max_value=LONGEST_MIN, initial=60, step_size=15
    )
    before_min = forms.IntegerField(
        label=gettext_lazy("minutes earlier in"), min_value=0, max_value=LONGEST_MIN, initial=0, step_size=15
    )
    first = forms.DateField(label=gettext_lazy("from"), widget=DATE)
    last = forms.DateField(label=gettext_lazy("last day"), widget=DATE)

    def clean(self) -> dict[str, Any]:
        given = super().clean()
        if not self.errors and not given["after_min"] + given["before_min"]:
            self.add_error("after_min", _("Say how much longer the days are."))
        return given

    @property
    def change(self) -> dict[str, Any]:
        given = self.cleaned_data
        return {"type": "hours", "after_min": given["after_min"], "before_min": given["before_min"], **self._span()}

    @property
    def says(self) -> str:
        given = self.cleaned_data
        if not given["after_min"]:
            words = _("Everybody at work {before_min} min before usual hours, from {first} to {last}")
        elif not given["before_min"]:
            words = _("Everybody at work {after_min} min after usual hours, from {first} to {last}")
        else:
            words = _(
                "Everybody at work {before_min} min before and {after_min} min after usual hours,"
                " from {first} to {last}"
            )
        return words.format(before_min=given["before_min"], after_min=given["after_min"], **self._named_days())


FORMS: dict[str, type[WhatIfForm]] = {"person": PersonForm, "place": PlaceForm, "dates": DatesForm, "hours": HoursForm}


def all_forms(today: date, sent: str = "", bound: WhatIfForm | None = None) -> list[tuple[str, WhatIfForm]]:
    """Each form by name; the one that was sent as it was sent."""
    return [
        (name, bound if bound is not None and name == sent else kind(prefix=name, today=today))
        for name, kind in FORMS.items()
    ]
