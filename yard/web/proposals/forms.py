"""What a person writes when a day closes, somebody is ill, cloth is late, or the proposal is asked again."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any, cast

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from yard.models import Closure, DatedHours, Fact, Person, Place
from yard.models.checks import on_the_quarter
from yard.services.happenings import Closed, FactTold, Happening, Hours, Slipped
from yard.web.proposals.job_forms import DoneForm, FailedForm, LongerForm, NewDateForm, StoppedForm, UrgentForm

QUARTER: dict[str, Any] = {
    "widget": forms.TimeInput(attrs={"type": "time", "step": "900"}, format="%H:%M"),
    "validators": [on_the_quarter],
}


def moment(day: date, clock: time) -> datetime:
    """A local day and time of the yard as an instant; in the hour that the clocks skip, the time after it."""
    return timezone.make_aware(datetime.combine(day, clock))


class _Span(forms.Form):
    """A day and two times in the yard's zone."""

    day = forms.DateField(label=gettext_lazy("Day"), widget=forms.DateInput(attrs={"type": "date"}))
    starts = forms.TimeField(label=gettext_lazy("from"), **QUARTER, initial=time(6))
    ends = forms.TimeField(label=gettext_lazy("to"), **QUARTER, initial=time(18))
    until = forms.DateField(
        label=gettext_lazy("last day"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text=gettext_lazy("if it lasts longer than the day"),
    )

    def clean(self) -> dict[str, Any]:
        given: dict[str, Any] = super().clean() or {}
        if self.errors:
            return given
        given["starts_at"] = moment(given["day"], given["starts"])
        given["ends_at"] = moment(given["until"] or given["day"], given["ends"])
        if given["ends_at"] <= given["starts_at"]:
            self.add_error("ends", _("It ends before it starts: put the later time here, or a last day."))
        return given


class CloseForm(_Span):
    """All outdoors, the water or one place is shut."""

    covers = forms.ChoiceField(label=pgettext_lazy("what a closure shuts", "for"), initial="outdoors")
    reason = forms.CharField(label=gettext_lazy("because"), max_length=200)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.places = {f"place-{row.pk}": row for row in Place.objects.filter(archived=False)}
        cast(forms.ChoiceField, self.fields["covers"]).choices = [
            ("outdoors", _("everything outdoors")),
            ("water", _("the water")),
            *((key, row.name) for key, row in self.places.items()),
        ]

    def happening(self) -> Happening:
        given = self.cleaned_data
        place = self.places.get(given["covers"])
        covers = Closure.Covers.PLACE if place else given["covers"]
        return Closed(covers, given["starts_at"], given["ends_at"], given["reason"], place)


class HoursForm(_Span):
    """Somebody is away, or may work beyond the usual hours: a Saturday, an evening tide."""

    people = forms.ModelMultipleChoiceField(label=gettext_lazy("Who"), queryset=Person.objects.filter(archived=False))
    reason = forms.CharField(label=gettext_lazy("because"), max_length=200)
    kind = DatedHours.Kind.AWAY

    def happening(self) -> Happening:
        given = self.cleaned_data
        return Hours(self.kind, tuple(given["people"]), given["starts_at"], given["ends_at"], given["reason"])


class ExtraHoursForm(HoursForm):
    kind = DatedHours.Kind.HERE


class FactForm(forms.Form):
    """Cloth, a permit, a yes: here, or expected on another day."""

    fact = forms.ModelChoiceField(label=gettext_lazy("What"), queryset=Fact.objects.exclude(state=Fact.State.HERE))
    expected_date = forms.DateField(
        label=gettext_lazy("expected on"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text=gettext_lazy("empty: it is here"),
    )
    told_by = forms.CharField(label=gettext_lazy("told by"), max_length=120, required=False)

    def happening(self) -> Happening:
        return FactTold(**self.cleaned_data)


class SlipForm(_Span):
    """A contractor comes on another day than agreed."""

    visit = forms.ModelChoiceField(
        label=gettext_lazy("Whose visit"),
        queryset=DatedHours.objects.filter(kind=DatedHours.Kind.HERE, person__contractor=True).select_related("person"),
    )
    reason = forms.CharField(label=gettext_lazy("because"), max_length=200)
    field_order = ["visit", "day", "starts", "ends", "until", "reason"]

    def happening(self) -> Happening:
        given = self.cleaned_data
        return Slipped(given["visit"], given["starts_at"], given["ends_at"], given["reason"])


AnyForm = (
    CloseForm
    | HoursForm
    | FactForm
    | SlipForm
    | LongerForm
    | StoppedForm
    | DoneForm
    | FailedForm
    | NewDateForm
    | UrgentForm
)
FORMS: dict[str, type[AnyForm]] = {
    "close": CloseForm,
    "away": HoursForm,
    "extra": ExtraHoursForm,
    "longer": LongerForm,
    "stopped": StoppedForm,
    "done": DoneForm,
    "failed": FailedForm,
    "fact": FactForm,
    "slip": SlipForm,
    "date": NewDateForm,
    "urgent": UrgentForm,
}
TITLES = {
    "close": gettext_lazy("Close a day"),
    "away": gettext_lazy("Somebody is away"),
    "extra": gettext_lazy("Somebody stays longer, or comes on a Saturday"),
    "longer": gettext_lazy("A job takes longer"),
    "stopped": gettext_lazy("A job was stopped, or not begun"),
    "done": gettext_lazy("A job is done early"),
    "failed": gettext_lazy("A job failed: a fault was found"),
    "fact": gettext_lazy("Something comes late, or is here"),
    "slip": gettext_lazy("A contractor comes on another day"),
    "date": gettext_lazy("An owner asks for another day"),
    "urgent": gettext_lazy("An order is urgent"),
}


def all_forms(day: date, name: str = "", sent: forms.Form | None = None) -> list[tuple[str, str, forms.Form]]:
    """(name, title, form), on `day`; the one that was sent keeps what was written and says what is wrong."""
    return [
        (key, str(TITLES[key]), sent if sent is not None and key == name else form(prefix=key, initial={"day": day}))
        for key, form in FORMS.items()
    ]
