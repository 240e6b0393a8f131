"""What a person asks: one more person, a place closed, dates moved, longer hours."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any, cast
from uuid import uuid4

from django import forms

from yard.models import Place, Skill

DATE = forms.DateInput(attrs={"type": "date"})
LONGEST_MIN = 240


def _day(day: date) -> str:
    return f"{day.day} {day:%b}"


class WhatIfForm(forms.Form):
    """title heads it. change and says are there once it is valid: what the row keeps, and the same as a sentence."""

    title = ""
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
            self.add_error("last", "The last day is before the first.")
        if last and last < self.today:
            self.add_error("last", "These days are over: choose later ones.")
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

    def _span_words(self) -> str:
        return f"from {_day(self.cleaned_data['first'])} to {_day(self.cleaned_data['last'])}"


class PersonForm(WhatIfForm):
    title = "One more person"
    skills = forms.ModelMultipleChoiceField(
        label="who has", queryset=Skill.objects.none(), widget=forms.CheckboxSelectMultiple
    )
    first = forms.DateField(label="from", widget=DATE)
    last = forms.DateField(label="last day", widget=DATE)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = cast("forms.ModelMultipleChoiceField[Skill]", self.fields["skills"])
        field.queryset = Skill.objects.order_by("name")

    @property
    def change(self) -> dict[str, Any]:
        return {"type": "person", "skills": {row.key: 1 for row in self.cleaned_data["skills"]}, **self._span()}

    @property
    def says(self) -> str:
        names = " and ".join(row.name.lower() for row in self.cleaned_data["skills"])
        return f"One more person ({names}) {self._span_words()}"


class PlaceForm(WhatIfForm):
    title = "A place closed"
    place = forms.ModelChoiceField(label="which", queryset=Place.objects.none(), empty_label=None)
    first = forms.DateField(label="from", widget=DATE)
    last = forms.DateField(label="last day", widget=DATE)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = cast("forms.ModelChoiceField[Place]", self.fields["place"])
        field.queryset = Place.objects.filter(archived=False).order_by("sequence", "name")

    @property
    def change(self) -> dict[str, Any]:
        return {"type": "place", "place": f"place-{self.cleaned_data['place'].pk}", **self._span()}

    @property
    def says(self) -> str:
        return f"{self.cleaned_data['place'].name} closed {self._span_words()}"


class DatesForm(WhatIfForm):
    title = "All orders earlier or later"
    weeks = forms.TypedChoiceField(
        label="all dates",
        coerce=int,
        initial="-2",
        choices=[
            *((str(-n), f"{n} week{'s' if n > 1 else ''} earlier") for n in (1, 2, 3, 4)),
            *((str(n), f"{n} week{'s' if n > 1 else ''} later") for n in (1, 2, 3, 4)),
        ],
    )

    @property
    def change(self) -> dict[str, Any]:
        return {"type": "dates", "weeks": self.cleaned_data["weeks"]}

    @property
    def says(self) -> str:
        weeks = self.cleaned_data["weeks"]
        many = "s" if abs(weeks) > 1 else ""
        return f"All orders {abs(weeks)} week{many} {'later' if weeks > 0 else 'earlier'}"


class HoursForm(WhatIfForm):
    title = "Longer hours for everybody"
    after_min = forms.IntegerField(
        label="minutes later home", min_value=0, max_value=LONGEST_MIN, initial=60, step_size=15
    )
    before_min = forms.IntegerField(
        label="minutes earlier in", min_value=0, max_value=LONGEST_MIN, initial=0, step_size=15
    )
    first = forms.DateField(label="from", widget=DATE)
    last = forms.DateField(label="last day", widget=DATE)

    def clean(self) -> dict[str, Any]:
        given = super().clean()
        if not self.errors and not given["after_min"] + given["before_min"]:
            self.add_error("after_min", "Say how much longer the days are.")
        return given

    @property
    def change(self) -> dict[str, Any]:
        given = self.cleaned_data
        return {"type": "hours", "after_min": given["after_min"], "before_min": given["before_min"], **self._span()}

    @property
    def says(self) -> str:
        given = self.cleaned_data
        ends = [
            f"{given[name]} min {words}"
            for name, words in (("before_min", "before"), ("after_min", "after"))
            if given[name]
        ]
        return f"Everybody at work {' and '.join(ends)} usual hours, {self._span_words()}"


FORMS: dict[str, type[WhatIfForm]] = {"person": PersonForm, "place": PlaceForm, "dates": DatesForm, "hours": HoursForm}


def all_forms(today: date, sent: str = "", bound: WhatIfForm | None = None) -> list[tuple[str, WhatIfForm]]:
    """Each form by name; the one that was sent as it was sent."""
    return [
        (name, bound if bound is not None and name == sent else kind(prefix=name, today=today))
        for name, kind in FORMS.items()
    ]
