"""The store's page put together: the picture and the same as a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from yard.models import Boat, Item, Place, Plan, Whereabouts
from yard.pictures.store import Stack, StoredBoat, StoreInput, StorePicture, StoreRow, lay_out
from yard.queries.store import StoreRows, store_rows
from yard.web.boats.words import date_words, ordinal
from yard.web.units import local


@dataclass(frozen=True)
class StoreLine:
    """One boat of a row. in_the_way: boats that stand farther out and leave later, or have no day."""

    row: Place
    boat: Boat
    spot: str
    leaves: str
    in_the_way: tuple[Boat, ...]


@dataclass(frozen=True)
class StackLine:
    place: Place
    item: Item


@dataclass(frozen=True)
class StorePage:
    picture: StorePicture | None
    lines: tuple[StoreLine, ...]
    stacks: tuple[StackLine, ...]

    @property
    def stuck(self) -> int:
        return sum(bool(line.in_the_way) for line in self.lines)


def store_page(plan: Plan | None) -> StorePage:
    """picture: None where the yard has neither rows nor racks."""
    rows = store_rows(plan)
    lines = {place.pk: _lines(place, rows) for place in rows.rows}
    drawn = StoreInput(
        rows=tuple(_drawn(place, lines[place.pk]) for place in rows.rows),
        stacks=tuple(Stack(rack.name, tuple(map(_thing, rows.lying.get(rack.pk, ())))) for rack in rows.racks),
    )
    return StorePage(
        picture=lay_out(drawn) if rows.rows or rows.racks else None,
        lines=tuple(line for each in lines.values() for line in each),
        stacks=tuple(StackLine(rack, item) for rack in rows.racks for item in rows.lying.get(rack.pk, ())),
    )


def _lines(place: Place, rows: StoreRows) -> list[StoreLine]:
    standing = rows.standing.get(place.pk, ())
    return [
        StoreLine(
            row=place,
            boat=here.boat,
            spot=_("{nth} from the inside").format(nth=ordinal(here.position or number)),
            leaves=date_words(local(at).date()) if (at := rows.leaves.get(here.boat_id)) else "",
            in_the_way=_in_the_way(here, standing[number:], rows.leaves),
        )
        for number, here in enumerate(standing, start=1)
    ]


def _in_the_way(here: Whereabouts, outer: Sequence[Whereabouts], leaves: dict[int, datetime]) -> tuple[Boat, ...]:
    """Only a boat that is to leave has somebody in her way: those farther out that are not gone by then."""
    mine = leaves.get(here.boat_id)
    if mine is None:
        return ()
    return tuple(row.boat for row in outer if (theirs := leaves.get(row.boat_id)) is None or theirs >= mine)


def _drawn(place: Place, lines: Sequence[StoreLine]) -> StoreRow:
    boats = tuple(
        StoredBoat(line.boat.name, line.leaves, tuple(boat.name for boat in line.in_the_way)) for line in lines
    )
    return StoreRow(place.short_name or place.name, place.capacity, boats)


def _thing(item: Item) -> str:
    return _("{thing} of {boat}").format(thing=item.name, boat=item.boat.name) if item.boat else item.name
