"""The rows of a list as a sheet says them: what goes out, and what a sheet that comes in is held against."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, time
from typing import Any

from django.db.models import Model, Prefetch, QuerySet

from yard.models import (
    Boat,
    BoatOwner,
    Item,
    ItemWhereabouts,
    Mooring,
    Order,
    Owner,
    Package,
    Person,
    Place,
    Season,
    Skill,
    TacklePart,
)
from yard.sheets.columns import ListOf, Value
from yard.sheets.entries import Licence, Tackle, one_line
from yard.sheets.reading import Names
from yard.sheets.words import SPOTS


def ref_of(row: Any) -> str:
    """The ref by which sheets name a row: the yard's own, or n and the row's number where it has none."""
    return str(row.ref or f"n{row.pk}")


@dataclass(frozen=True)
class Bound:
    """A list and the rows it stands for. special: columns that are not a field of the row itself."""

    model: type[Model]
    rows: Callable[[], QuerySet[Any]]
    special: Mapping[str, Callable[[Any], Value]]

    def values_of(self, row: Any, of: ListOf) -> dict[str, Value]:
        """What a sheet says of this row, by column."""
        return {column.key: self._value(row, column.key) for column in of.columns}

    def _value(self, row: Any, key: str) -> Value:
        if key in self.special:
            return self.special[key](row)
        value = getattr(row, key)
        if isinstance(value, time):
            return f"{value:%H:%M}"
        return value.isoformat() if isinstance(value, date) else value


def _boats() -> QuerySet[Boat]:
    now_own = BoatOwner.objects.filter(ends_on=None).select_related("owner").order_by("-told_first", "starts_on", "id")
    return Boat.objects.prefetch_related(Prefetch("ownerships", now_own, to_attr="now_owned")).order_by("name", "id")


def _owner_of(boat: Any) -> Value:
    return ref_of(boat.now_owned[0].owner) if boat.now_owned else None


def _items() -> QuerySet[Item]:
    latest = ItemWhereabouts.objects.select_related("place").order_by("-since", "-id")
    return (
        Item.objects.select_related("boat", "order")
        .prefetch_related(Prefetch("whereabouts", latest, to_attr="seen"))
        .order_by("boat__name", "kind", "name", "id")
    )


def _where(item: Any) -> Value:
    if not item.seen:
        return None
    last = item.seen[0]
    return last.place.ref if last.place is not None else SPOTS[last.kind]


def _hours(person: Any) -> Value:
    return tuple(sorted(f"{row.weekday} {row.starts:%H:%M} {row.ends:%H:%M}" for row in person.weekly_hours.all()))


def _skills(person: Any) -> Value:
    return tuple(sorted(f"{row.skill.key} {row.level}" for row in person.skills.all()))


def _licences(person: Any) -> Value:
    said = (
        Licence(
            skill=row.skill.key,
            licence=one_line(row.licence),
            until=row.licence_until.isoformat() if row.licence_until else "",
        )
        for row in sorted(person.skills.all(), key=lambda row: row.skill.key)
        if row.licence or row.licence_until
    )
    return tuple(str(one) for one in said)


def _parts(mooring: Any) -> Value:
    return tuple(str(tackle_of(part)) for part in mooring.laid)


def tackle_of(part: TacklePart) -> Tackle:
    """A part as a sheet says it."""
    return Tackle(
        kind=part.kind,
        size=one_line(part.size),
        length_m=part.length_m,
        laid_on=part.laid_on.isoformat() if part.laid_on else "",
        inspected_on=part.inspected_on.isoformat() if part.inspected_on else "",
        condition=part.condition,
        note=one_line(part.note),
    )


def _moorings() -> QuerySet[Mooring]:
    laid = TacklePart.objects.filter(taken_up_on=None).order_by("id")
    rows = Mooring.objects.select_related("permit_boat").order_by("ref", "id")
    return rows.prefetch_related(Prefetch("parts", laid, to_attr="laid"))


def _ref(key: str, attribute: str = "ref") -> Callable[[Any], Value]:
    def value(row: Any) -> Value:
        other = getattr(row, key)
        return None if other is None else str(getattr(other, attribute))

    return value


def _of_the_row(field: str) -> Callable[[Any], Value]:
    def value(place: Any) -> Value:
        measured: float | None = getattr(place.stack, field) if hasattr(place, "stack") else None
        return measured

    return value


BOUND: Mapping[str, Bound] = {
    "boats": Bound(Boat, _boats, {"owner": _owner_of}),
    "owners": Bound(Owner, lambda: Owner.objects.order_by("name", "id"), {"ref": ref_of}),
    "moorings": Bound(
        Mooring,
        _moorings,
        {"permit_boat": _ref("permit_boat"), "parts": _parts},
    ),
    "people": Bound(
        Person,
        lambda: Person.objects.prefetch_related("skills__skill", "weekly_hours").order_by("short_name", "id"),
        {"ref": ref_of, "skills": _skills, "licences": _licences, "hours": _hours},
    ),
    "places": Bound(
        Place,
        lambda: Place.objects.select_related("stack").prefetch_related("operators").order_by("sequence", "name", "id"),
        {
            "operators": lambda place: tuple(sorted(ref_of(person) for person in place.operators.all())),
            "row_length_m": _of_the_row("length_m"),
            "headroom_m": _of_the_row("height_m"),
        },
    ),
    "orders": Bound(
        Order,
        lambda: Order.objects.select_related("boat", "package", "season", "to_mooring").order_by("made_at", "id"),
        {
            "boat": _ref("boat"),
            "package": _ref("package", "key"),
            "season": _ref("season", "name"),
            "to_mooring": _ref("to_mooring"),
            "options": lambda order: tuple(sorted(order.options)),
        },
    ),
    "inventory": Bound(
        Item,
        _items,
        {
            "ref": ref_of,
            "boat": _ref("boat"),
            "order": _ref("order"),
            "where": _where,
            "condition": lambda item: (item.seen[0].condition or None) if item.seen else None,
        },
    ),
}


def list_rows(of: ListOf) -> list[tuple[Any, dict[str, Value]]]:
    """Every row of a list and what a sheet says of it. At most four queries, however many rows."""
    bound = BOUND[of.name]
    return [(row, bound.values_of(row, of)) for row in bound.rows()]


def list_counts() -> dict[str, int]:
    """How many rows each list has. One query a list."""
    return {name: bound.model._default_manager.count() for name, bound in BOUND.items()}


def names_known(of: ListOf) -> dict[str, Names]:
    """What the cells of a list may name, by the list it stands in. One query for each."""
    return {one: NAMED[one]() for one in {column.of for column in of.columns if column.of} - {"options"}} | (
        {"skills": NAMED["skills"]()} if of.name == "people" else {}
    )


def _names(rows: Iterable[tuple[str, str, bool]]) -> Names:
    """From (ref, name, archived): an archived row is found by its ref alone."""
    refs: dict[str, str] = {}
    names: dict[str, list[str]] = defaultdict(list)
    for ref, name, archived in rows:
        refs[ref.casefold()] = ref
        if not archived:
            names[" ".join(name.casefold().split())].append(ref)
    return Names(refs, {name: tuple(found) for name, found in names.items()})


def _with_refs(model: type[Model]) -> Names:
    rows = model._default_manager.values_list("pk", "ref", "name", "archived").order_by("id")
    return _names((ref or f"n{pk}", name, archived) for pk, ref, name, archived in rows)


def _spots() -> Names:
    places = Place.objects.values_list("ref", "name", "archived").order_by("id")
    return _names([*places, *((words, kind, False) for kind, words in SPOTS.items())])


NAMED: Mapping[str, Callable[[], Names]] = {
    "boats": lambda: _with_refs(Boat),
    "owners": lambda: _with_refs(Owner),
    "people": lambda: _with_refs(Person),
    "moorings": lambda: _names((ref, ref, gone) for ref, gone in Mooring.objects.values_list("ref", "archived")),
    "orders": lambda: _names((ref, ref, False) for ref in Order.objects.values_list("ref", flat=True)),
    "packages": lambda: _names(Package.objects.values_list("key", "name", "archived").order_by("id")),
    "seasons": lambda: _names((name, name, False) for name in Season.objects.values_list("name", flat=True)),
    "skills": lambda: _names(Skill.objects.values_list("key", "name", "archived").order_by("id")),
    "spots": _spots,
}
