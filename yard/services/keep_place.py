"""The one writer of places as pages change them: what they hold, their limits, their hours and who works them.

A closure is a happening under a posted plan, so `record_event` writes those.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import time
from itertools import pairwise
from typing import Any

from django.db.models import OuterRef, Subquery

from yard.models import ItemWhereabouts, Person, Place, PlaceHours, Weekday, Whereabouts
from yard.services.keep_row import Book, RowRefused, Writer, rows_as_of

Hours = tuple[tuple[int, time, time], ...]


class HoursOfPlace:
    """When a place may be used: (weekday, starts, ends) in order; none: whenever the yard is open."""

    def read(self, row: Place) -> Hours:
        return _in_order(row.hours.all())

    def was(self, pasts: Sequence[Any]) -> list[Hours]:
        told = PlaceHours.history.filter(place_id__in={past.id for past in pasts})
        return [_in_order(rows) for rows in rows_as_of(told, [past.history_date for past in pasts])]

    def write(self, row: Place, value: Hours, writer: Writer, reason: str) -> None:
        wanted = set(value)
        for each in row.hours.all():
            key = (each.weekday, each.starts, each.ends)
            if key in wanted:
                wanted.remove(key)
            else:
                writer.sign(each, reason)
                each.delete()
        for weekday, starts, ends in sorted(wanted):
            fresh = PlaceHours(place=row, weekday=weekday, starts=starts, ends=ends)
            fresh.full_clean()
            writer.sign(fresh, reason)
            fresh.save()


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


def _in_order(rows: Any) -> Hours:
    return tuple(sorted((each.weekday, each.starts, each.ends) for each in rows))


def _check(row: Place, values: Mapping[str, Any]) -> None:
    """What the model cannot say, in the trade's words."""
    by_day: dict[int, list[tuple[time, time]]] = {}
    for weekday, starts, ends in values.get("hours", ()):
        by_day.setdefault(weekday, []).append((starts, ends))
    for weekday, spans in by_day.items():
        if any(later[0] < earlier[1] for earlier, later in pairwise(sorted(spans))):
            raise RowRefused("hours", f"{Weekday(weekday).label}: two stretches overlap. Let one end before the next.")
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
    beside={"hours": HoursOfPlace(), "operators": WhoWorks()},
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
