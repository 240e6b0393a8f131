"""A mooring's page and form, and the form of a part of its tackle."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Boat, Mooring, Order, TacklePart, Whereabouts, YardSettings
from yard.notices.wording import listed
from yard.queries.moorings import lying_on, orders_to
from yard.services.keep_mooring import MOORING, TACKLE
from yard.sheets.columns import Column, Kind
from yard.sheets.lists_of_boats import MOORINGS
from yard.sheets.writing import in_words
from yard.web.keeping.desk import Desk
from yard.web.keeping.form import RowForm, Section
from yard.web.keeping.saying import NOTHING, Sayer, day_words
from yard.web.request import YardRequest

MEASURES = {
    key: MOORINGS.column(key)
    for key in (
        "depth_m_at_datum",
        "route_shoalest_m_at_datum",
        "underside_m_above_datum",
        "chain_spread_m",
        "pendant_m",
    )
}
ANGLES = {key: MOORINGS.column(key) for key in ("latitude", "longitude")}
LENGTH = Column(key="length_m", heading="length", kind=Kind.LENGTH)
ORDER_OF_PARTS = list(TacklePart.Kind)


class MooringForm(RowForm):
    keeper = MOORING
    measures = MEASURES
    angles = ANGLES
    days = ("tackle_set_on", "tackle_inspected_on", "tackle_inspection_due_on", "permit_expires_on")
    wide = frozenset({"notes", "tackle"})
    sections = (
        Section(gettext_lazy("Where"), ("ref", "position_note", "latitude", "longitude", "exposure", "bottom")),
        Section(
            gettext_lazy("Depth and way"), ("depth_m_at_datum", "route_shoalest_m_at_datum", "underside_m_above_datum")
        ),
        Section(
            gettext_lazy("Tackle"),
            (
                "tackle_set_on",
                "tackle_inspected_on",
                "tackle_inspection_due_on",
                "chain_spread_m",
                "pendant_m",
                "tackle",
            ),
        ),
        Section(gettext_lazy("Permit"), ("permit_boat", "permit_number", "permit_expires_on", "temporary")),
        Section(gettext_lazy("Notes"), ("notes",)),
    )
    hints = {  # a mapping that nobody writes
        "ref": gettext_lazy("As it stands on the buoy."),
        "position_note": gettext_lazy("As third out from the ramp."),
        "latitude": gettext_lazy("40.1533 or 40°09.2' N"),
        "longitude": gettext_lazy("West is negative: -74.7012 or 74°42.1' W"),
        "exposure": gettext_lazy("Winds and seas, as south-west, a mile of open water."),
        "depth_m_at_datum": gettext_lazy("Charted, at the mooring."),
        "route_shoalest_m_at_datum": gettext_lazy("The least on the way to it."),
        "underside_m_above_datum": gettext_lazy("The lowest over the way, above the datum."),
        "tackle_set_on": gettext_lazy("This season; a person has seen it set."),
        "tackle_inspection_due_on": gettext_lazy("By the local rule."),
        "chain_spread_m": gettext_lazy("How far the chain lets it go, for the swing."),
        "tackle": gettext_lazy("Each part with its dates is added on the mooring's page."),
        "permit_expires_on": gettext_lazy("Work that waits on it waits no more, if it lasts."),
    }

    class Meta:
        model = Mooring
        fields = (
            "ref",
            "position_note",
            "exposure",
            "bottom",
            "tackle",
            "permit_boat",
            "permit_number",
            "temporary",
            "notes",
        )
        labels = {  # Django reads it once, and nobody writes it
            "ref": gettext_lazy("Number"),
            "position_note": gettext_lazy("Where it lies"),
            "exposure": gettext_lazy("Open to"),
            "tackle": gettext_lazy("Tackle in words"),
            "permit_boat": gettext_lazy("Permit for"),
            "permit_number": gettext_lazy("Permit's number"),
            "temporary": gettext_lazy("temporary: the yard's own, lent"),
        }

    def build(self) -> None:
        boats: Any = self.fields["permit_boat"]
        boats.queryset = Boat.objects.filter(archived=False).order_by("name", "id")
        boats.empty_label = _("no boat")
        self.fields["ref"].widget.attrs["autocapitalize"] = "characters"


class TackleForm(RowForm):
    keeper = TACKLE
    measures = {"length_m": LENGTH}  # a mapping that nobody writes
    days = ("laid_on", "inspected_on", "taken_up_on")
    wide = frozenset({"note"})
    sections = (
        Section(gettext_lazy("The part"), ("kind", "size", "length_m", "condition", "note")),
        Section(gettext_lazy("Dates"), ("laid_on", "inspected_on", "taken_up_on")),
    )
    hints = {  # as above
        "size": gettext_lazy("As it is stamped: 500 lb, 3/8 in, 16 mm."),
        "length_m": gettext_lazy("Of chain, rode or pendant."),
        "taken_up_on": gettext_lazy("It then no longer counts, and stays on file."),
    }

    class Meta:
        model = TacklePart
        fields = ("kind", "size", "condition", "note")


@dataclass(frozen=True)
class Said:
    """One fact of a mooring in words. css: "late" where a day has passed."""

    label: str
    words: str
    css: str = ""


@dataclass(frozen=True)
class Part:
    part: TacklePart
    length: str


@dataclass(frozen=True)
class MooringPage:
    mooring: Mooring
    facts: tuple[Said, ...]
    swing: str
    parts: tuple[Part, ...]
    taken_up: tuple[Part, ...]
    lies: tuple[Whereabouts, ...]
    orders: tuple[Order, ...]


def mooring_page(mooring: Mooring, yard: YardSettings, today: date) -> MooringPage:
    """Four queries, however many parts."""
    feet = yard.units == YardSettings.Units.FEET
    parts = [Part(each, in_words(LENGTH, each.length_m, feet=feet)) for each in mooring.parts.order_by("id")]
    parts.sort(key=lambda row: ORDER_OF_PARTS.index(TacklePart.Kind(row.part.kind)))
    return MooringPage(
        mooring=mooring,
        facts=_facts(mooring, yard, today, MooringForm.sayer(feet=feet)),
        swing=_swing(mooring, feet=feet),
        parts=tuple(row for row in parts if row.part.taken_up_on is None),
        taken_up=tuple(row for row in parts if row.part.taken_up_on is not None),
        lies=tuple(lying_on(mooring)),
        orders=tuple(orders_to(mooring)),
    )


def _facts(mooring: Mooring, yard: YardSettings, today: date, say: Sayer) -> tuple[Said, ...]:
    keys = ("position_note", "exposure", "bottom")
    plain = [Said(MOORING.words_for(key), say.of(mooring, key)) for key in keys if getattr(mooring, key)]
    if mooring.latitude is not None and mooring.longitude is not None:
        plain.append(Said(_("position"), f"{mooring.latitude:.5f}, {mooring.longitude:.5f}"))
    datum = _("at {datum}").format(datum=yard.datum) if yard.datum else _("at the datum")
    heights = [
        Said(_("depth {datum}").format(datum=datum), _depth(mooring.depth_m_at_datum, say, "depth_m_at_datum")),
        Said(
            _("shoalest on the way {datum}").format(datum=datum),
            _depth(mooring.route_shoalest_m_at_datum, say, "route_shoalest_m_at_datum"),
        ),
    ]
    if mooring.underside_m_above_datum is not None:
        heights.append(Said(_("bridge or wire over the way"), say.of(mooring, "underside_m_above_datum")))
    dates = [
        Said(_("tackle set"), _day(mooring.tackle_set_on, _("not said"))),
        Said(_("tackle inspected"), _day(mooring.tackle_inspected_on, _("not said"))),
        _until(_("next inspection"), mooring.tackle_inspection_due_on, today, _("was due {day}"), _("by {day}")),
    ]
    number = f", {mooring.permit_number}" if mooring.permit_number else ""
    if not mooring.temporary:
        permit = _until(_("permit"), mooring.permit_expires_on, today, _("ran out {day}"), _("to {day}"))
        dates.append(Said(permit.label, permit.words + number, permit.css))
    return (*plain, *heights, *dates)


def _depth(value: float | None, say: Sayer, key: str) -> str:
    if value is None:
        return _("not known")
    said = in_words(say.measures[key], abs(value), feet=say.feet)
    return _("dries {height}").format(height=said) if value < 0 else said


def _day(day: date | None, unknown: str) -> str:
    return day_words(day) if day else unknown


def _until(label: str, day: date | None, today: date, over: str, still: str) -> Said:
    """over, still: what is said of a day behind and of one to come, with a gap for the `day`."""
    if day is None:
        return Said(label, _("not on file"))
    if day < today:
        return Said(label, over.format(day=day_words(day)), "late")
    return Said(label, still.format(day=day_words(day)))


def _swing(mooring: Mooring, *, feet: bool) -> str:
    """Chain spread, pendant and her length overall, added; what is not known is said."""
    boat = mooring.permit_boat
    parts = {
        _("chain spread"): mooring.chain_spread_m,
        _("pendant"): mooring.pendant_m,
        _("her length"): boat.length_m if boat is not None else None,
    }
    known = [value for value in parts.values() if value is not None]
    missing = listed([name for name, value in parts.items() if value is None])
    if not known:
        return NOTHING
    said = in_words(LENGTH, sum(known), feet=feet)
    if missing:
        return _("{length} without {missing}, which is not on file").format(length=said, missing=missing)
    return _("{length}: chain spread, pendant and her length").format(length=said)


def _tackle_about(request: YardRequest, row: Any) -> dict[str, Any]:
    return {"mooring": row.mooring} if row is not None else {}


MOORING_DESK = Desk(
    form=MooringForm,
    one="mooring",
    name="mooring",
    template="keeping/mooring_form.html",
    page=lambda row: reverse("mooring", args=[row.pk]),
)
TACKLE_DESK = Desk(
    form=TackleForm,
    one="part",
    name="tackle",
    template="keeping/tackle.html",
    page=lambda row: reverse("mooring", args=[row.mooring_id]),
    about=_tackle_about,
    archives=False,
)
