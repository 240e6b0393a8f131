"""How what is known of a row is typed: measures, positions, days, lengths of time, the hours of a week."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from typing import TYPE_CHECKING, Any

from django import forms
from django.utils.formats import number_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from yard.services.week_hours import Hours
from yard.sheets.columns import CellRefused, Column
from yard.sheets.hours import week, week_in_words
from yard.sheets.measures import angle, measure
from yard.sheets.writing import unit_of
from yard.web.number_fields import NumberField
from yard.web.orders.form import DayField

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

EARLIEST_YEAR, YEARS_AHEAD = 1980, 10
"""Beyond these a year was mistyped (common practice)."""


class MeasureField(forms.CharField):
    """A measure as typed; cleaned to metres or kilograms, None where it is empty."""

    def __init__(self, column: Column, *, feet: bool, **more: Any) -> None:
        attrs = {"class": "field num", "autocomplete": "off"}
        super().__init__(max_length=40, widget=forms.TextInput(attrs=attrs), **more)
        self.column, self.bare = replace(column, heading=_(column.heading)), unit_of(column, feet=feet)

    def clean(self, value: Any) -> float | None:
        text = super().clean(value).strip()
        try:
            return round(measure(text, self.column, self.bare), 4) if text else None
        except CellRefused as refused:
            raise forms.ValidationError(f"{capfirst(refused.wrong)}: {refused.remedy}.") from refused


class AngleField(forms.CharField):
    """A latitude or longitude as typed; cleaned to degrees, None where it is empty."""

    def __init__(self, column: Column, **more: Any) -> None:
        attrs = {"class": "field num", "autocomplete": "off"}
        super().__init__(max_length=40, widget=forms.TextInput(attrs=attrs), **more)
        self.column = replace(column, heading=_(column.heading))

    def clean(self, value: Any) -> float | None:
        text = super().clean(value).strip()
        try:
            return round(angle(text, self.column), 7) if text else None
        except CellRefused as refused:
            raise forms.ValidationError(f"{capfirst(refused.wrong)}: {refused.remedy}.") from refused


class FactDayField(DayField):
    """A day on which something was done or ends, in a year that can be."""

    def __init__(self, label: StrOrPromise, *, today: date, **more: Any) -> None:
        super().__init__(label, **more)
        self.today = today

    def clean(self, value: Any) -> Any:
        day: date | None = super().clean(value)
        if day and not EARLIEST_YEAR <= day.year <= self.today.year + YEARS_AHEAD:
            raise forms.ValidationError(
                _("The year {year} cannot be right: it is {now} now.").format(year=day.year, now=self.today.year)
            )
        return day


class WeekField(forms.CharField):
    """Usual hours of a week in one line; cleaned to (weekday, starts, ends), Monday 0."""

    def __init__(self, **more: Any) -> None:
        super().__init__(required=False, max_length=400, widget=forms.Textarea(attrs={"rows": 2}), **more)

    def clean(self, value: Any) -> Hours:
        text = super().clean(value).strip()
        try:
            lines = [one.split() for one in week(text)] if text else []
        except CellRefused as refused:
            raise forms.ValidationError(f"{capfirst(refused.wrong)}: {refused.remedy}.") from refused
        found = tuple((int(day), time.fromisoformat(starts), time.fromisoformat(ends)) for day, starts, ends in lines)
        for _weekday, starts, ends in found:
            if wrong := next((each for each in (starts, ends) if each.minute % 15), None):
                raise forms.ValidationError(
                    _("{time} is not on a quarter of an hour: use :00, :15, :30 or :45.").format(time=f"{wrong:%H:%M}")
                )
        return found


def week_words(hours: Hours) -> str:
    """The same line again; "" for none."""
    return week_in_words(tuple(f"{day} {starts:%H:%M} {ends:%H:%M}" for day, starts, ends in hours)) if hours else ""


class HoursField(NumberField):
    """A length of time in hours, by the quarter; cleaned to minutes. empty_min: what an empty field means."""

    def __init__(self, *, most_h: float, empty_min: int = 0, **more: Any) -> None:
        super().__init__(required=False, min_value=0, widget=forms.NumberInput(attrs={"step": "0.25"}), **more)
        self.most_h, self.empty_min = most_h, empty_min

    def clean(self, value: Any) -> Any:
        hours = super().clean(value)
        if hours is None:
            return self.empty_min
        if hours > self.most_h:
            raise forms.ValidationError(
                _("{hours} h is more than {most}: was it typed in minutes?").format(
                    hours=number_format(f"{hours:g}"), most=number_format(f"{self.most_h:g}")
                )
            )
        if hours * 4 % 1:
            raise forms.ValidationError(
                _("{hours} h is no whole number of quarters: use .25, .5 or .75.").format(
                    hours=number_format(f"{hours:g}")
                )
            )
        return round(hours * 60)


def hours_shown(minutes: int) -> str:
    """A length of time as its field shows it, in hours."""
    return f"{minutes / 60:g}"
