"""What stands beside a person's and a place's form: who is away and when, what is shut, and forms to say it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Closure, DatedHours, Person, Place
from yard.models.checks import on_the_quarter
from yard.services.happenings import Closed, Hours
from yard.web.crew.words import dated_words
from yard.web.proposals.forms import moment
from yard.web.units import local

DAY = {"type": "date", "class": "field"}
CLOCK = {"type": "time", "step": "900", "class": "field"}
LOOK_BACK = timedelta(days=60)


@dataclass(frozen=True, slots=True)
class DatedLine:
    """One absence, or hours agreed on; over: it lies behind."""

    row: DatedHours
    words: str
    over: bool


class SpanForm(forms.Form):
    """Whole days, or hours of them: two days and two times of the yard's clock."""

    day = forms.DateField(label=gettext_lazy("First day"), widget=forms.DateInput(attrs=DAY))
    until = forms.DateField(label=gettext_lazy("Last day"), required=False, widget=forms.DateInput(attrs=DAY))
    starts = forms.TimeField(
        label=gettext_lazy("From"), required=False, validators=[on_the_quarter], widget=forms.TimeInput(attrs=CLOCK)
    )
    ends = forms.TimeField(
        label=gettext_lazy("To"), required=False, validators=[on_the_quarter], widget=forms.TimeInput(attrs=CLOCK)
    )
    reason = forms.CharField(
        label=gettext_lazy("Because"), max_length=200, widget=forms.TextInput(attrs={"class": "field"})
    )

    def clean(self) -> dict[str, Any]:
        """No time: whole days. In the hour that the clocks skip, the time after it."""
        given: dict[str, Any] = super().clean() or {}
        first = given.get("day")
        if first is None or self.errors:
            return given
        last = given.get("until") or first
        starts, ends = given.get("starts"), given.get("ends")
        given["starts_at"] = moment(first, starts or datetime.min.time())
        given["ends_at"] = moment(last, ends) if ends else moment(last + timedelta(days=1), datetime.min.time())
        if given["ends_at"] <= given["starts_at"]:
            self.add_error("until", _("It ends before it starts: put the later day or time here."))
        return given

    @property
    def faults(self) -> str:
        """What is wrong, each with its field."""
        return " ".join(
            f"{self.fields[key].label}: {error}" if key in self.fields else str(error)
            for key, errors in self.errors.items()
            for error in errors
        )


class AwayForm(SpanForm):
    """Somebody is away, or here beyond the usual week."""

    kind = forms.ChoiceField(choices=DatedHours.Kind.choices, widget=forms.HiddenInput, label=gettext_lazy("What"))

    def hours(self, person: Person) -> Hours:
        given = self.cleaned_data
        return Hours(given["kind"], (person,), given["starts_at"], given["ends_at"], given["reason"])


class ShutForm(SpanForm):
    """A place is shut."""

    def closed(self, place: Place) -> Closed:
        given = self.cleaned_data
        return Closed(Closure.Covers.PLACE, given["starts_at"], given["ends_at"], given["reason"], place)


def absences(person: Person, today: date) -> dict[str, Any]:
    """The person's absences and agreed hours, those to come first. One query."""
    rows = person.dated_hours.filter(ends_at__gte=moment(today, datetime.min.time()) - LOOK_BACK)
    now = moment(today, datetime.min.time())
    lines = [DatedLine(row, dated_words(row, today), row.ends_at <= now) for row in rows]
    form = SpanForm(initial={"day": today}, auto_id="away-%s")
    return {"dated": sorted(lines, key=lambda line: (line.over, line.row.starts_at)), "span": form}


def closures(place: Place, now: datetime, today: date) -> dict[str, Any]:
    """What shuts this place now or later, and the form to say it. One query."""
    rows = place.closures.filter(state=Closure.State.ACCEPTED, ends_at__gt=now)
    lines = [(row, _span_words(row, today)) for row in rows]
    return {"closures": lines, "span": ShutForm(initial={"day": today}, auto_id="shut-%s")}


def _span_words(row: Closure, today: date) -> str:
    words = DatedHours(kind=DatedHours.Kind.AWAY, starts_at=row.starts_at, ends_at=row.ends_at)
    text = dated_words(words, today)
    return text if local(row.starts_at).year == today.year else f"{text} {local(row.starts_at).year}"
