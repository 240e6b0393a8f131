"""The store drawn as it is walked: rows of boats from the wall to the door, and stacks of things. Not to scale."""

from __future__ import annotations

from dataclasses import dataclass

from yard.pictures.lettering import cut
from yard.pictures.shapes import Label, PictureValueError, Rect, tenth
from yard.speech import _, ngettext

NAME_WIDTH, SPOT_WIDTH, SPOT_HEIGHT, ROW_GAP = 110.0, 104.0, 34.0, 14.0
TOP, LEAST_SPOTS = 26.0, 3
STACKED = 6.0
"""How far each thing of a stack stands out above the one below it."""
GAP = 1.5
MOST_STACKED = 8


@dataclass(frozen=True, slots=True)
class StoredBoat:
    """goes_on: the day on which she is moved as planned, in words; "" if nothing is planned. in_the_way: leaves first.

    in_the_way: boats farther out that the plan moves later, or not at all.
    """

    name: str
    goes_on: str = ""
    in_the_way: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StoreRow:
    """A row: the boats from the wall outward, and how many it holds."""

    name: str
    capacity: int
    boats: tuple[StoredBoat, ...]

    def __post_init__(self) -> None:
        if self.capacity < 0:
            raise PictureValueError(f"capacity of {self.name} is {self.capacity}; nought is the least")


@dataclass(frozen=True, slots=True)
class Stack:
    """A rack or a shelf with what lies on it."""

    name: str
    things: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StoreInput:
    rows: tuple[StoreRow, ...]
    stacks: tuple[Stack, ...] = ()


@dataclass(frozen=True, slots=True)
class StorePicture:
    """spots: boats; empty: room that is left. shelves: one rectangle a thing, up to MOST_STACKED."""

    width: float
    height: float
    spots: tuple[Rect, ...]
    empty: tuple[Rect, ...]
    labels: tuple[Label, ...]
    shelves: tuple[Rect, ...]
    shelf_labels: tuple[Label, ...]
    summary: str


def lay_out(values: StoreInput) -> StorePicture:
    """Rows below one another, the wall to the left; stacks below the rows, side by side."""
    places = [max(row.capacity, len(row.boats)) for row in values.rows]
    width = NAME_WIDTH + SPOT_WIDTH * max([LEAST_SPOTS, *places])
    spots, empty, labels = (
        [],
        [],
        [Label(NAME_WIDTH, 14.0, _("wall"), "x11 c2"), Label(width, 14.0, _("door"), "x11 c2 end")],
    )
    for number, row in enumerate(values.rows):
        y = TOP + number * (SPOT_HEIGHT + ROW_GAP)
        labels.append(_label(0.0, y + 21, row.name, 12.5, NAME_WIDTH - 8, "x12 bd"))
        for place in range(max(row.capacity, len(row.boats))):
            if place < len(row.boats):
                spots.append(_spot(row.boats[place], place, y))
                labels.extend(_boat_labels(row.boats[place], place, y))
            else:
                empty.append(Rect(_x(place) + 2, y, SPOT_WIDTH - 4, SPOT_HEIGHT, "basted0", title=_("room for a boat")))
    below = TOP + len(values.rows) * (SPOT_HEIGHT + ROW_GAP)
    shelves, shelf_labels, height = _stacks(values.stacks, below, width)
    return StorePicture(
        width, height, tuple(spots), tuple(empty), tuple(labels), shelves, shelf_labels, _summary(values)
    )


def _x(place: int) -> float:
    return NAME_WIDTH + place * SPOT_WIDTH


def _spot(boat: StoredBoat, place: int, y: float) -> Rect:
    css = "g-launch" if boat.in_the_way else "f-rest"
    return Rect(_x(place) + 2, y, SPOT_WIDTH - 4, SPOT_HEIGHT, css, title=_told(boat))


def _boat_labels(boat: StoredBoat, place: int, y: float) -> list[Label]:
    ink = " onink2" if boat.in_the_way else ""
    room = SPOT_WIDTH - 12
    name = _label(_x(place) + 7, y + 15, boat.name, 12.5, room, f"x12 bd boat{ink}", name=True)
    under = _label(_x(place) + 7, y + 28, boat.goes_on or _("no day"), 11.5, room, f"x11{ink}")
    return [name, under]


def _label(x: float, y: float, text: str, size: float, room: float, css: str, *, name: bool = False) -> Label:
    shown = cut(text, size, room, bold=True, name=name)
    return Label(tenth(x), tenth(y), shown, css, "" if shown == text else text)


def _told(boat: StoredBoat) -> str:
    goes = _("goes {day}").format(day=boat.goes_on) if boat.goes_on else _("no day is planned")
    if not boat.in_the_way:
        return f"{boat.name}, {goes}"
    return _("{boat}, {goes}; in her way: {others}").format(
        boat=boat.name, goes=goes, others=", ".join(boat.in_the_way)
    )


def _stacks(stacks: tuple[Stack, ...], top: float, width: float) -> tuple[tuple[Rect, ...], tuple[Label, ...], float]:
    """A pile for each stack, its name and its count below it; as many side by side as there is width for."""
    each, shelves, labels = 130.0, [], []
    across = max(1, int(width // each))
    tall = STACKED * MOST_STACKED + 34.0
    for number, stack in enumerate(stacks):
        x, y = (number % across) * each, top + (number // across) * tall
        foot = y + STACKED * MOST_STACKED
        for thing in range(min(len(stack.things), MOST_STACKED)):
            rise = foot - (thing + 1) * STACKED
            shelves.append(Rect(x, tenth(rise), each - 16, STACKED - GAP, "f-rest", title=stack.things[thing]))
        labels.append(_label(x, foot + 13, stack.name, 12.5, each - 8, "x12 bd"))
        labels.append(Label(x, tenth(foot + 26), _things(len(stack.things)), "x11"))
    lines = -(-len(stacks) // across)
    return tuple(shelves), tuple(labels), top + lines * tall


def _summary(values: StoreInput) -> str:
    stored = sum(len(row.boats) for row in values.rows)
    stuck = sum(bool(boat.in_the_way) for row in values.rows for boat in row.boats)
    things = sum(len(stack.things) for stack in values.stacks)
    return _("{boats} in {rows}, {stuck} with another in the way; {things} in {stacks}.").format(
        boats=ngettext("{n} boat", "{n} boats", stored).format(n=stored),
        rows=ngettext("{n} row", "{n} rows", len(values.rows)).format(n=len(values.rows)),
        stuck=stuck,
        things=_things(things),
        stacks=ngettext("{n} stack", "{n} stacks", len(values.stacks)).format(n=len(values.stacks)),
    )


def _things(number: int) -> str:
    return ngettext("{n} thing", "{n} things", number).format(n=number)
