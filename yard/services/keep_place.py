"""The one writer of places as pages change them: what they hold, their limits, their hours and who works them.

A closure is a happening under a posted plan, so `record_event` writes those.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.db.models import OuterRef, Subquery
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from yard.models import ItemWhereabouts, Person, Place, PlaceHours, PlaceKind, Whereabouts
from yard.services.keeping import Keeper, Words, Writer
from yard.services.week_hours import WeekOf, overlap_in

HOURS = WeekOf(PlaceHours, "place")


class WhoWorks:
    """Ids of the people who may work a place; none: whoever has the skill."""

    def read(self, row: Place) -> frozenset[int]:
        return frozenset(row.operators.values_list("pk", flat=True))

    def was(self, pasts: Sequence[Any]) -> list[frozenset[int]]:
        on_file = set(Person.objects.values_list("pk", flat=True))
        told: dict[int, set[int]] = {past.history_id: set() for past in pasts}
        if pasts:
            named = pasts[0].operators.model.objects.filter(history__in=list(told))
            for history, person in named.values_list("history_id", "person_id"):
                told[history].add(person)
        return [frozenset(on_file & told[past.history_id]) for past in pasts]

    def write(self, row: Place, value: frozenset[int], writer: Writer, reason: str) -> None:
        writer.sign(row, reason)
        row.operators.set(value)


def _wrong_with(row: Place, values: Mapping[str, Any]) -> Words:
    wrong: dict[str, tuple[str, ...]] = {}
    if words := overlap_in(values.get("hours", ())):
        wrong["hours"] = words
    if any(each["from_deg"] == each["to_deg"] for each in row.wind_limits):
        wrong["wind_limits"] = (_("A sector that begins where it ends is none: give two directions."),)
    if row.wind_limits and not row.outdoor:
        wrong["outdoor"] = (_("Only a place outdoors has wind limits: tick it, or empty them."),)
    if row.line_m is not None and row.kind != PlaceKind.DRYING_LINE:
        wrong["line_m"] = (_("Only a drying line has a length of line: choose that kind, or leave it empty."),)
    wrong |= _wrong_with_runs(row)
    if row.max_length_m and row.max_beam_m and row.max_beam_m > row.max_length_m:
        wrong["max_beam_m"] = (_("It would take a boat wider than she is long: were length and beam swapped?"),)
    return wrong


def _wrong_with_runs(row: Place) -> dict[str, tuple[str, ...]]:
    """Of a workboat: how long she runs, and how she is charged."""
    wrong: dict[str, tuple[str, ...]] = {}
    said = {name: getattr(row, name) for name in ("seats", "runs_min", "charge_min", "charged_at")}
    if row.kind != PlaceKind.WORKBOAT:
        return {
            name: (_("Only a workboat has this: choose that kind, or leave it empty."),)
            for name, value in said.items()
            if value is not None
        }
    if row.runs_min is not None and row.charge_min is None:
        wrong["charge_min"] = (_("Say how long a charge or fill takes: it is hers meanwhile."),)
    if row.runs_min is None and (row.charge_min is not None or row.charged_at is not None):
        wrong["runs_min"] = (_("Say how long she runs on a charge, or leave both empty where that binds nothing."),)
    return wrong


def _keeps_open(row: Place) -> str:
    """A place in which a boat stands or a thing lies is in use."""
    latest = Whereabouts.objects.filter(boat=OuterRef("boat")).order_by("-since", "-id").values("pk")[:1]
    boats = Whereabouts.objects.filter(place=row, pk=Subquery(latest), boat__archived=False)
    if names := list(boats.order_by("boat__name").values_list("boat__name", flat=True)[:5]):
        words = ngettext(
            "{names} still lies there: move them first.", "{names} still lie there: move them first.", len(names)
        )
        return words.format(names=", ".join(names))
    newest = ItemWhereabouts.objects.filter(item=OuterRef("item")).order_by("-since", "-id").values("pk")[:1]
    things = ItemWhereabouts.objects.filter(place=row, pk=Subquery(newest), item__archived=False)
    count = things.count()
    words = ngettext(
        "{n} thing still there: say where they went first.", "{n} things still there: say where they went first.", count
    )
    return words.format(n=count) if count else ""


PLACE = Keeper(
    Place,
    (
        "name",
        "short_name",
        "kind",
        "capacity",
        "line_m",
        "seats",
        "runs_min",
        "charge_min",
        "charged_at",
        "tows",
        "max_length_m",
        "max_beam_m",
        "max_displacement_kg",
        "max_draft_m",
        "level_m_above_datum",
        "counted_by_night",
        "outdoor",
        "wind_factor",
        "wind_limits",
        "sequence",
        "notes",
    ),
    beside={"hours": HOURS, "operators": WhoWorks()},
    words={
        "capacity": gettext_noop("takes at once"),
        "line_m": gettext_noop("length of line"),
        "seats": gettext_noop("seats for owners and crew"),
        "runs_min": gettext_noop("minutes she runs on a charge"),
        "charge_min": gettext_noop("minutes a charge takes"),
        "charged_at": gettext_noop("charged in the day from"),
        "tows": gettext_noop("tows boats"),
        "max_length_m": gettext_noop("longest boat"),
        "max_beam_m": gettext_noop("widest boat"),
        "max_displacement_kg": gettext_noop("heaviest boat"),
        "max_draft_m": gettext_noop("deepest boat"),
        "level_m_above_datum": gettext_noop("level above datum"),
        "counted_by_night": gettext_noop("by night"),
        "outdoor": gettext_noop("outdoors"),
        "sequence": gettext_noop("order in lists"),
        "operators": gettext_noop("worked by"),
    },
    made_of_name="ref",
    wrong_with=_wrong_with,
    keeps_open=_keeps_open,
)
