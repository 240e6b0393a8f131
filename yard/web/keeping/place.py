"""The form of one place: what it takes, its limits, the wind it bears, its hours and who works it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from yard.models import Person, Place, PlaceKind
from yard.services.keep_place import PLACE
from yard.sheets.columns import Column, Kind
from yard.web.keeping.absences import closures
from yard.web.keeping.desk import Desk, today_of
from yard.web.keeping.fields import WeekField, week_words
from yard.web.keeping.form import RowForm, Section
from yard.web.number_fields import NumberField
from yard.web.request import YardRequest

SECTORS = 4
"""So many stricter sectors have a line at least; a ramp or a dock has one or two (common practice)."""
STRONGEST_KN = 60
LINE = Column(key="line_m", heading=gettext_noop("length of line"), kind=Kind.LENGTH)
LENGTHS = {
    "max_length_m": Column(key="max_length_m", heading=gettext_noop("longest boat"), kind=Kind.LENGTH),
    "max_beam_m": Column(key="max_beam_m", heading=gettext_noop("widest boat"), kind=Kind.LENGTH),
    "max_displacement_kg": Column(key="max_displacement_kg", heading=gettext_noop("heaviest boat"), kind=Kind.MASS),
    "max_draft_m": Column(key="max_draft_m", heading=gettext_noop("deepest boat"), kind=Kind.LENGTH),
    "level_m_above_datum": Column(
        key="level_m_above_datum", heading=gettext_noop("level above datum"), kind=Kind.LENGTH
    ),
}
MOST = {"max_length_m": 100.0, "max_beam_m": 30.0, "max_displacement_kg": 500_000.0, "max_draft_m": 12.0}
"""More is a mistyped unit (common practice): above anything a small yard handles."""


@dataclass(frozen=True, slots=True)
class SectorLine:
    """One sector on the page: wind from, clockwise, to; no more than so much."""

    number: int
    fields: tuple[forms.BoundField, ...]


def _names_words(people: frozenset[int]) -> str:
    names = Person.objects.filter(pk__in=people).order_by("short_name").values_list("short_name", flat=True)
    return ", ".join(names) or _("whoever has the skill")


def sector_words(each: Mapping[str, int]) -> str:
    """ "from 45 to 135°: 12 kn, gusts 18 kn" """
    limits = [f"{each['sustained_kn']} kn"] if each.get("sustained_kn") else []
    limits += [_("gusts {kn} kn").format(kn=each["gust_kn"])] if each.get("gust_kn") else []
    return _("from {first} to {last}°: {limits}").format(
        first=each["from_deg"], last=each["to_deg"], limits=", ".join(limits)
    )


def _sectors_words(limits: Sequence[Mapping[str, int]]) -> str:
    return "; ".join(map(sector_words, limits))


class PlaceForm(RowForm):
    """What a place takes, and when."""

    keeper = PLACE
    measures = LENGTHS | {"line_m": LINE}  # a mapping that nobody writes
    wide = frozenset({"notes", "hours", "operators"})
    sections = (
        Section(
            gettext_lazy("The place"),
            ("name", "short_name", "kind", "capacity", "line_m", "counted_by_night", "outdoor"),
        ),
        Section(
            gettext_lazy("A workboat"),
            ("seats", "runs_min", "charge_min", "charged_at", "tows"),
            folded=True,
            within=gettext_lazy("seats, how long she runs on a charge or a tank, whether she tows"),
        ),
        Section(
            gettext_lazy("Which boats it takes"),
            tuple(LENGTHS),
            folded=True,
            within=gettext_lazy("length, beam, weight, draft, level"),
        ),
        Section(
            gettext_lazy("Wind"),
            ("wind_factor",),
            folded=True,
            also="keeping/_sectors.html",
            within=gettext_lazy("stricter limits by direction"),
        ),
        Section(
            gettext_lazy("When, and who works it"),
            ("hours", "operators"),
            folded=True,
            within=gettext_lazy("its own hours, its people"),
        ),
        Section(gettext_lazy("Order in lists, notes"), ("sequence", "notes"), folded=True),
    )
    says = {  # a mapping that nobody writes
        "hours": week_words,
        "operators": _names_words,
        "wind_limits": _sectors_words,
    }
    hints = {  # as above
        "short_name": gettext_lazy("As it stands on the day sheet, 12 letters at most."),
        "capacity": gettext_lazy(
            "Boats, jobs or spars that may be there at once: two halves of a floor are 2, three lines are 3."
        ),
        "line_m": gettext_lazy(
            "Of a drying line: all of it. Sails take it by their length, and nothing is asked of Takes at once."
        ),
        "sequence": gettext_lazy("Where it stands in lists; lower comes first."),
        "seats": gettext_lazy(
            "Aboard at most, whoever runs her among them, as her plate says. Empty: she carries no owners."
        ),
        "runs_min": gettext_lazy(
            "Between two charges or fills, less what you keep in hand; 6 hours are 360. Each quarter hour on"
            " the water counts. Empty: it binds nothing."
        ),
        "charge_min": gettext_lazy("A whole one, at the float, every night: until it is done she does not run."),
        "charged_at": gettext_lazy(
            "If she has a second charge in the day: she lies at the float meanwhile, and runs anew after it."
        ),
        "max_length_m": gettext_lazy("Overall. Empty: any."),
        "max_beam_m": gettext_lazy("Empty: any."),
        "max_displacement_kg": gettext_lazy(
            "Of slings, trailer and gin pole: the machine's manual decides. Empty: none known."
        ),
        "max_draft_m": gettext_lazy("Empty: any."),
        "level_m_above_datum": gettext_lazy(
            "Sill or bottom, where water matters; negative below the chart's datum. Empty: none."
        ),
        "wind_factor": gettext_lazy("Wind here over wind in the forecast. 1 is the same; 0.7 in a lee."),
        "hours": gettext_lazy(
            "As Mon-Fri 07:00-12:00, 12:30-15:30; Sat 08:00-12:00, on the quarter of an hour. Empty: whenever the yard"
            " is open."
        ),
        "operators": gettext_lazy(
            "One of these is in the crew of every job there. None ticked: whoever has the skill."
        ),
    }

    class Meta:
        model = Place
        fields = ()

    name = forms.CharField(max_length=60, label=gettext_lazy("Name"))
    short_name = forms.CharField(max_length=12, label=gettext_lazy("Short name"), required=False)
    kind = forms.ChoiceField(choices=PlaceKind.choices, label=gettext_lazy("Kind"))
    capacity = forms.IntegerField(min_value=1, max_value=500, initial=1, label=gettext_lazy("Takes at once"))
    sequence = forms.IntegerField(min_value=0, max_value=30_000, required=False, label=gettext_lazy("Order in lists"))
    seats = forms.IntegerField(min_value=1, max_value=60, required=False, label=gettext_lazy("Seats"))
    runs_min = forms.IntegerField(min_value=15, max_value=1440, required=False, label=gettext_lazy("Runs, min"))
    charge_min = forms.IntegerField(
        min_value=1, max_value=1440, required=False, label=gettext_lazy("A charge takes, min")
    )
    charged_at = forms.TimeField(
        required=False,
        label=gettext_lazy("Charged in the day from"),
        widget=forms.TimeInput(format="%H:%M", attrs={"type": "time"}),
    )
    tows = forms.BooleanField(required=False, initial=True, label=gettext_lazy("tows boats to and from moorings"))
    counted_by_night = forms.BooleanField(required=False, label=gettext_lazy("taken for whole nights, as a berth"))
    outdoor = forms.BooleanField(required=False, label=gettext_lazy("outdoors: wind and rain count"))
    wind_factor = NumberField(min_value=0.05, max_value=5, initial=1.0, label=gettext_lazy("Wind factor"))
    hours = WeekField(label=gettext_lazy("Hours"))
    operators = forms.ModelMultipleChoiceField(
        Person.objects.filter(archived=False),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label=gettext_lazy("Worked by"),
    )
    notes = forms.CharField(required=False, label=gettext_lazy("Notes"), widget=forms.Textarea(attrs={"rows": 3}))

    def build(self) -> None:
        self.sectors = max(SECTORS, len(self.row.wind_limits) + 1 if self.row is not None else 0)
        for number in range(self.sectors):
            for key, label, most in (
                ("from", _("from, degrees true"), 360),
                ("to", _("clockwise to"), 360),
                ("sustained", _("at most, kn"), STRONGEST_KN),
                ("gust", _("gusts at most, kn"), STRONGEST_KN),
            ):
                self.fields[f"sector_{key}_{number}"] = forms.IntegerField(
                    label=label, required=False, min_value=0 if most == 360 else 1, max_value=most
                )

    def shown(self, values: Mapping[str, Any]) -> dict[str, Any]:
        shown = super().shown(values) | {"hours": week_words(values["hours"]), "operators": list(values["operators"])}
        for number, each in enumerate(values["wind_limits"]):
            names = {"from": "from_deg", "to": "to_deg", "sustained": "sustained_kn", "gust": "gust_kn"}
            shown |= {f"sector_{key}_{number}": each.get(name) for key, name in names.items()}
        return shown

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        cleaned["sequence"] = cleaned.get("sequence") or 0
        cleaned["operators"] = frozenset(person.pk for person in cleaned.get("operators") or ())
        for key, most in MOST.items():
            value = cleaned.get(key)
            if value is not None and value <= 0:
                self.add_error(key, _("A limit is above nothing: leave it empty where there is none."))
            elif value is not None and value > most:
                self.add_error(
                    key,
                    _("{value} is more than this yard handles: check the unit.").format(
                        value=self.say.value(key, value)
                    ),
                )
        cleaned["wind_limits"] = [each for number in range(self.sectors) if (each := self._sector(number, cleaned))]
        return cleaned

    def _sector(self, number: int, cleaned: Mapping[str, Any]) -> dict[str, int]:
        start, end, sustained, gust = (
            cleaned.get(f"sector_{key}_{number}") for key in ("from", "to", "sustained", "gust")
        )
        if start is None and end is None and sustained is None and gust is None:
            return {}
        if start is None or end is None or (sustained is None and gust is None):
            self.add_error(
                f"sector_from_{number}", _("A sector has two directions and a limit: fill them in, or empty the line.")
            )
            return {}
        if sustained is not None and gust is not None and gust < sustained:
            self.add_error(f"sector_gust_{number}", _("A gust below the sustained wind: were they swapped?"))
        limits = {"sustained_kn": sustained, "gust_kn": gust}
        return {"from_deg": start % 360, "to_deg": end % 360} | {k: v for k, v in limits.items() if v is not None}

    def sector_lines(self) -> list[SectorLine]:
        keys = ("from", "to", "sustained", "gust")
        return [
            SectorLine(number + 1, tuple(self[f"sector_{key}_{number}"] for key in keys))
            for number in range(self.sectors)
        ]

    def _as_usual(self, name: str) -> bool:
        sectors = self.row.wind_limits if self.row is not None else ()
        return super()._as_usual(name) and not (name == "wind_factor" and (sectors or self._wrong_sector()))

    def _wrong_sector(self) -> bool:
        return any(key.startswith("sector_") for key in self.errors)


def _about(request: YardRequest, row: Any) -> dict[str, Any]:
    return closures(row, request.yard_now, today_of(request)) if row is not None else {}


PLACE_DESK = Desk(
    form=PlaceForm, one="place", name="place", template="keeping/place.html", about=_about, put_back="place_put_back"
)
