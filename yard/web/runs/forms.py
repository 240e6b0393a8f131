"""Forms of owners' runs: a wish to be carried, and a run at an hour of one's own."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import TYPE_CHECKING, Any, cast

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from yard.models import Boat, Owner, Person, Place, PlaceKind, RunWish
from yard.services.owners_runs import RunAsked, WishAsked
from yard.web.units import at_minute

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

MOST_PEOPLE = 30
"""More is mistyped: no yard's launch takes them (common practice)."""


def _clock(label: StrOrPromise) -> forms.TimeField:
    return forms.TimeField(label=label, widget=forms.TimeInput(format="%H:%M", attrs={"type": "time", "step": "900"}))


def instant(day: date, clock: time) -> datetime:
    return at_minute(day, clock.hour * 60 + clock.minute)


class _OnADay(forms.Form):
    """Hours of one day, on the quarter, by the yard's clock."""

    form_key = forms.UUIDField(widget=forms.HiddenInput, required=False)
    hours: tuple[str, ...] = ()

    def __init__(self, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        for field in self.fields.values():
            if not isinstance(field.widget, forms.CheckboxSelectMultiple | forms.CheckboxInput | forms.HiddenInput):
                field.widget.attrs["class"] = "field"

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for name in self.hours:
            clock = cleaned.get(name)
            if clock is not None and (clock.minute % 15 or clock.second):
                self.add_error(name, _("Quarter hours only: 14:00, 14:15, 14:30, 14:45."))
        return cleaned


class WishForm(_OnADay):
    """Who wishes to be carried, where, and between which hours."""

    hours = ("from_at", "until_at")
    name = forms.CharField(label=gettext_lazy("Who goes"), max_length=80)
    boat = forms.ModelChoiceField(
        Boat.objects.none(),
        label=gettext_lazy("To which boat"),
        required=False,
        empty_label=gettext_lazy("none on file"),
    )
    people = forms.IntegerField(label=gettext_lazy("How many"), min_value=1, max_value=MOST_PEOPLE, initial=1)
    way = forms.ChoiceField(label=gettext_lazy("Which way"), choices=RunWish.Way.choices)
    from_at = _clock(gettext_lazy("Leaves from"))
    until_at = _clock(gettext_lazy("to at the latest"))
    phone = forms.CharField(label=gettext_lazy("Telephone"), max_length=40, required=False)
    note = forms.CharField(label=gettext_lazy("Note"), max_length=200, required=False)

    def __init__(self, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        boats = cast("forms.ModelChoiceField[Any]", self.fields["boat"])
        boats.queryset = Boat.objects.filter(archived=False).order_by("name", "id")

    def asked(self, day: date, *, owner: Owner | None = None) -> WishAsked:
        said = self.cleaned_data
        return WishAsked(
            name=said["name"],
            boat=said["boat"],
            people=said["people"],
            way=said["way"],
            from_at=instant(day, said["from_at"]),
            until_at=instant(day, said["until_at"]),
            phone=said["phone"],
            note=said["note"],
            owner=owner,
        )


class RunForm(_OnADay):
    """A run at an hour of one's own, and who goes with her."""

    hours = ("leaves_at", "back_at")
    place = forms.ModelChoiceField(Place.objects.none(), label=pgettext_lazy("whom", "With"), empty_label=None)
    leaves_at = _clock(gettext_lazy("Leaves"))
    back_at = _clock(pgettext_lazy("at what time", "Back"))
    people = forms.ModelMultipleChoiceField(
        Person.objects.none(), label=gettext_lazy("Who runs her"), widget=forms.CheckboxSelectMultiple
    )
    note = forms.CharField(label=gettext_lazy("Note"), max_length=200, required=False)
    goes_first = forms.BooleanField(
        label=gettext_lazy("The run goes first: work in its way is planned round it"), required=False
    )

    def __init__(self, data: Any = None, **more: Any) -> None:
        super().__init__(data, **more)
        places = cast("forms.ModelChoiceField[Any]", self.fields["place"])
        places.queryset = Place.objects.filter(kind=PlaceKind.WORKBOAT, archived=False, seats__isnull=False)
        people = cast("forms.ModelMultipleChoiceField[Any]", self.fields["people"])
        people.queryset = Person.objects.filter(archived=False).order_by("short_name", "id")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if "people" in self.errors:  # Django links a group of ticks to nothing
            self.fields["people"].widget.attrs["aria-describedby"] = f"{self['people'].auto_id}_error"
        return cleaned

    def asked(self, day: date, *, may_go_first: bool) -> RunAsked:
        said = self.cleaned_data
        return RunAsked(
            place=said["place"],
            people=tuple(said["people"]),
            leaves_at=instant(day, said["leaves_at"]),
            back_at=instant(day, said["back_at"]),
            note=said["note"],
            goes_first=said["goes_first"] and may_go_first,
        )


class RunChangeForm(RunForm):
    """The same run at another hour. agreed: whoever asked for other hours was asked."""

    agreed = forms.BooleanField(label=gettext_lazy("Whoever goes was asked, and agrees to the hour"), required=False)
