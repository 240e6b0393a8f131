"""The one writer of places as pages change them: what they hold, their limits, their hours and who works them.

A closure is a happening under a posted plan, so `record_event` writes those.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.db.models import OuterRef, Subquery

from yard.models import ItemWhereabouts, Person, Place, PlaceHours, Whereabouts
from yard.services.keep_row import Book, RowRefused, Writer
from yard.services.week_hours import WeekOf, refuse_overlap

HOURS = WeekOf(PlaceHours, "place", "hours")


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


def _check(row: Place, values: Mapping[str, Any]) -> None:
    """What the model cannot say, in the trade's words."""
    refuse_overlap(values.get("hours", ()))
    for each in row.wind_limits:
        if each["from_deg"] == each["to_deg"]:
            raise RowRefused("wind_limits", "A sector that begins where it ends is none: give two directions.")
    if row.wind_limits and not row.outdoor:
        raise RowRefused("outdoor", "Only a place outdoors has wind limits: tick it, or empty them.")
    if row.max_length_m and row.max_beam_m and row.max_beam_m > row.max_length_m:
        raise RowRefused("max_beam_m", "It would take a boat wider than she is long: were length and beam swapped?")


def _may_archive(row: Place) -> None:
    """A place in which a boat stands or a thing lies is in use."""
    latest = Whereabouts.objects.filter(boat=OuterRef("boat")).order_by("-since", "-id").values("pk")[:1]
    boats = Whereabouts.objects.filter(place=row, pk=Subquery(latest), boat__archived=False)
    if names := list(boats.order_by("boat__name").values_list("boat__name", flat=True)[:5]):
        raise RowRefused("", f"{', '.join(names)} still {'lies' if len(names) == 1 else 'lie'} there: move them first.")
    newest = ItemWhereabouts.objects.filter(item=OuterRef("item")).order_by("-since", "-id").values("pk")[:1]
    things = ItemWhereabouts.objects.filter(place=row, pk=Subquery(newest), item__archived=False)
    if count := things.count():
        raise RowRefused("", f"{count} thing{'' if count == 1 else 's'} still there: say where they went first.")


PLACES = Book(
    model=Place,
    fields=(
        "name",
        "short_name",
        "kind",
        "capacity",
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
    check=_check,
    may_archive=_may_archive,
    made_of_name="ref",
    words={
        "capacity": "takes at once",
        "max_length_m": "longest boat",
        "max_beam_m": "widest boat",
        "max_displacement_kg": "heaviest boat",
        "max_draft_m": "deepest boat",
        "level_m_above_datum": "level",
        "counted_by_night": "by night",
        "outdoor": "outdoors",
        "sequence": "order in lists",
        "operators": "worked by",
    },
)
