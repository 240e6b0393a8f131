"""The form of a new calendar: what it shows, in one choice, and what it shows beside."""

from __future__ import annotations

from collections.abc import Iterable
from typing import cast

from django import forms
from django.db.models import Model, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Boat, CalendarAddress, FeedPart, Owner, Person, Place, YardSettings
from yard.services.feeds.addresses import Rights, Shows, Wish
from yard.web.number_fields import NumberField
from yard.web.units import height, height_unit, metres_of

Kind = CalendarAddress.Kind
ALARMS = [
    ("", gettext_lazy("no alarm")),
    ("0", gettext_lazy("at the start")),
    ("15", gettext_lazy("15 min before")),
    ("30", gettext_lazy("30 min before")),
    ("60", gettext_lazy("1 h before")),
    ("720", gettext_lazy("12 h before")),
]
BESIDE = (FeedPart.CLOSURES, FeedPart.HIGHS_LOWS, FeedPart.RAMP, FeedPart.DAYLIGHT)


class PartsForm(forms.Form):
    """What a calendar of some kind shows beside its jobs, and whether it rings."""

    parts = forms.MultipleChoiceField(
        label=gettext_lazy("Shows as well"), required=False, widget=forms.CheckboxSelectMultiple
    )
    draft = NumberField(label=gettext_lazy("Draft for the water at the ramp"), required=False, min_value=0.1)
    alarm = forms.ChoiceField(label=gettext_lazy("Alarm before each job"), choices=ALARMS, required=False)

    def __init__(self, *args, rights: Rights, yard: YardSettings, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.rights, self.yard = rights, yard
        beside = (*BESIDE, FeedPart.DEADLINES) if rights.sees_owners else BESIDE
        cast(forms.ChoiceField, self.fields["parts"]).choices = [(part.value, str(part.label)) for part in beside]
        self.fields["draft"].label = _("Draft for the water at the ramp, {unit}").format(unit=height_unit(yard))
        self.fields["draft"].widget.attrs["step"] = "any"

    def clean(self) -> dict[str, object]:
        given = super().clean() or {}
        draft = given.get("draft")
        if FeedPart.RAMP in given.get("parts", []) and draft is None and "draft" not in self.errors:
            self.add_error("draft", _("Say for which draft, or leave the water at the ramp out."))
        if isinstance(draft, float) and metres_of(draft, self.yard) > 12:
            self.add_error("draft", _("A draft over 12 m does not float here."))
        return given

    def shown(self) -> Shows:
        """After is_valid()."""
        draft, alarm = self.cleaned_data["draft"], self.cleaned_data["alarm"]
        ramp = FeedPart.RAMP in self.cleaned_data["parts"]
        return Shows(
            parts=self.cleaned_data["parts"],
            alarm_min=int(alarm) if alarm else None,
            draft_m=metres_of(draft, self.yard) if ramp and draft is not None else None,
        )

    @staticmethod
    def as_it_is(address: CalendarAddress, yard: YardSettings) -> dict[str, object]:
        """Initial values of the form: what the address shows now."""
        draft = address.draft_m
        return {
            "parts": address.parts,
            "draft": None if draft is None else round(height(draft, yard), 2),
            "alarm": "" if address.alarm_min is None else str(address.alarm_min),
        }


class CalendarForm(PartsForm):
    """A new calendar: `wish()` after is_valid()."""

    field_order = ("shows", "name", "parts", "draft", "alarm")
    shows = forms.ChoiceField(label=gettext_lazy("What it shows"))
    name = forms.CharField(
        label=gettext_lazy("Name"),
        max_length=80,
        required=False,
        help_text=gettext_lazy("as your calendar calls it; empty: as chosen above"),
    )

    def __init__(self, *args, rights: Rights, yard: YardSettings, **kwargs) -> None:
        super().__init__(*args, rights=rights, yard=yard, **kwargs)
        cast(forms.ChoiceField, self.fields["shows"]).choices = list(_choices(rights))

    def wish(self) -> Wish:
        kind, _, pk = self.cleaned_data["shows"].partition(":")
        subject = _row(kind, int(pk)) if pk else None
        name = self.cleaned_data["name"].strip() or _name(kind, subject, self.yard)
        return Wish(kind=kind, name=name, subject=subject, shows=self.shown())


def rows_of(kind: str) -> QuerySet[Person] | QuerySet[Boat] | QuerySet[Owner] | QuerySet[Place]:
    """Those whose jobs a calendar can show, in the order of lists."""
    match kind:
        case Kind.PERSON:
            return Person.objects.filter(archived=False)
        case Kind.BOAT:
            return Boat.objects.filter(archived=False)
        case Kind.OWNER:
            return Owner.objects.filter(archived=False)
        case _:
            return Place.objects.filter(archived=False)


def _row(kind: str, pk: int) -> Person | Boat | Owner | Place:
    return rows_of(kind).get(pk=pk)  # one of the choices


def _choices(rights: Rights) -> Iterable[tuple[str, object]]:
    own = Person.objects.filter(user=rights.user, archived=False).first()
    if own is not None:
        yield f"{Kind.PERSON}:{own.pk}", _("my jobs ({name})").format(name=own.short_name)
    whole = [kind for kind in (Kind.YARD, Kind.TIDES, Kind.CLOSURES, Kind.DEADLINES) if rights.may(kind)]
    yield _("The yard"), [(kind.value, str(kind.label)) for kind in whole]
    groups = (
        (Kind.PERSON, _("One person")),
        (Kind.BOAT, _("One boat")),
        (Kind.OWNER, _("One owner's boats")),
        (Kind.PLACE, _("One place")),
    )
    for kind, label in groups:
        if rights.may(kind):
            rows: Iterable[Model] = rows_of(kind)
            yield label, [(f"{kind}:{row.pk}", str(row)) for row in rows if own is None or row != own]


def _name(kind: str, subject: Person | Boat | Owner | Place | None, yard: YardSettings) -> str:
    """ "Ada Marlow: jobs", "Tallow Creek Yard: tides and daylight"."""
    label = _("jobs") if subject is not None or kind == Kind.YARD else str(Kind(kind).label)
    return f"{subject or yard.name}: {label}"[:80]
