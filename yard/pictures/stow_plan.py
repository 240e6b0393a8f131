"""A store plan drawn to scale: rows from the wall on the left to the door, boats as long and as wide as they are.

A rack is drawn level by level, the spars of a level side by side with the innermost on top. What is left of a row is
dashed, as far as somebody measured the row.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from yard.pictures.lettering import cut
from yard.pictures.shapes import Label, PictureValueError, Rect, Stroke, number_text, tenth
from yard.speech import _, ngettext

WIDE, NAME_WIDTH, TOP, GAP, FOOT = 640.0, 104.0, 30.0, 16.0, 8.0
LEAST_HIGH = 30.0
"""A spot is drawn at least so high that a name and a line below it are written in it; it keeps its length to scale."""
SPAR_HIGH = 16.0
RULER_STEPS_M = (1, 2, 5, 10, 20, 50)
RULER_MARKS = 10


@dataclass(frozen=True, slots=True)
class Stowed:
    """A boat, or a spar. under: the line below her name; told: all of it in words. stands: there already.

    in_the_way: somebody stands before her who leaves later.
    """

    name: str
    length_m: float
    width_m: float
    under: str = ""
    told: str = ""
    stands: bool = False
    in_the_way: bool = False

    def __post_init__(self) -> None:
        if not (self.length_m > 0 and self.width_m > 0):
            raise PictureValueError(f"{self.name} is {self.length_m} × {self.width_m} m: nothing to draw")


@dataclass(frozen=True, slots=True)
class StowRow:
    """length_m: of the row, 0 where nobody measured it. gap_m: between two boats."""

    name: str
    boats: tuple[Stowed, ...]
    length_m: float = 0.0
    gap_m: float = 0.0


@dataclass(frozen=True, slots=True)
class StowInput:
    """side_by_side: spars of a level. unit_m: how long a unit of the ruler is; unit: its word."""

    rows: tuple[StowRow, ...]
    side_by_side: bool = False
    unit_m: float = 1.0
    unit: str = "m"


@dataclass(frozen=True, slots=True)
class StowPicture:
    width: float
    height: float
    spots: tuple[Rect, ...]
    empty: tuple[Rect, ...]
    lines: tuple[Stroke, ...]
    labels: tuple[Label, ...]
    summary: str


def lay_out(values: StowInput) -> StowPicture:
    """Every row to one scale, along and across."""
    longest = max([_long(values, row) for row in values.rows], default=0.0) or 1.0
    scale = WIDE / longest
    spots: list[Rect] = []
    empty: list[Rect] = []
    labels: list[Label] = [*_ruler_labels(values, longest, scale)]
    y = TOP
    for row in values.rows:
        high = _high(values, row, scale)
        named = cut(row.name, 12.5, NAME_WIDTH - 8, bold=True)
        labels.append(Label(0.0, tenth(y + min(high, LEAST_HIGH) / 2 + 4), named, "x12 bd", _title(named, row.name)))
        boxes, room = _boxes(values, row, scale, y, high)
        spots += boxes
        empty += room
        labels += [label for one, box in zip(row.boats, boxes, strict=True) for label in _words(one, box)]
        y += high + GAP
    return StowPicture(
        width=NAME_WIDTH + WIDE + FOOT,
        height=tenth(max(y, TOP + LEAST_HIGH)),
        spots=tuple(spots),
        empty=tuple(empty),
        lines=_ruler(values, longest, scale),
        labels=tuple(labels),
        summary=_summary(values),
    )


def _long(values: StowInput, row: StowRow) -> float:
    lengths = [one.length_m for one in row.boats]
    taken = max(lengths, default=0.0) if values.side_by_side else sum(lengths) + row.gap_m * max(0, len(lengths) - 1)
    return max(taken, row.length_m)


def _high(values: StowInput, row: StowRow, scale: float) -> float:
    if values.side_by_side:
        return max(1, len(row.boats)) * SPAR_HIGH
    return tenth(max([LEAST_HIGH, *(one.width_m * scale for one in row.boats)]))


def _boxes(values: StowInput, row: StowRow, scale: float, y: float, high: float) -> tuple[list[Rect], list[Rect]]:
    boxes, x = [], NAME_WIDTH
    for number, one in enumerate(row.boats):
        wide = one.length_m * scale
        css = "g-launch" if one.in_the_way else ("f-rest" if one.stands else "plain")
        if values.side_by_side:
            place = Rect(NAME_WIDTH, tenth(y + number * SPAR_HIGH), tenth(wide), SPAR_HIGH - 3, css, title=one.told)
        else:
            tall = max(LEAST_HIGH, one.width_m * scale)
            place = Rect(tenth(x), tenth(y + (high - tall) / 2), tenth(wide), tenth(tall), css, title=one.told)
            x += wide + row.gap_m * scale
        boxes.append(place)
    begins = boxes[-1].right + row.gap_m * scale if boxes and not values.side_by_side else NAME_WIDTH
    left = NAME_WIDTH + row.length_m * scale - begins
    free = not boxes or not values.side_by_side
    room = [Rect(tenth(begins), y, tenth(left), high, "basted0", title=_("room"))] if free and left >= 2 else []
    return boxes, room


def _words(one: Stowed, box: Rect) -> list[Label]:
    ink, room = (" onink2" if one.in_the_way else ""), box.width - 8
    name = cut(one.name, 12.5, room, bold=True, name=True)
    x = tenth(box.x + 4)
    if box.height < LEAST_HIGH:
        whole = f"{one.name}, {one.under}" if one.under else one.name
        shown = cut(whole, 11.5, room)
        return [Label(x, tenth(box.y + box.height - 2.5), shown, f"x11{ink}", _title(shown, whole))]
    under = cut(one.under, 11.5, room)
    middle = box.y + box.height / 2
    found = [Label(x, tenth(middle - 2), name, f"x12 bd boat{ink}", _title(name, one.name))]
    return [*found, Label(x, tenth(middle + 11), under, f"x11{ink}", _title(under, one.under))] if under else found


def _title(shown: str, whole: str) -> str:
    return "" if shown == whole else whole


def _marks(values: StowInput, longest: float) -> list[int]:
    units = longest / values.unit_m
    each = next((step for step in RULER_STEPS_M if units / step <= RULER_MARKS), ceil(units / RULER_MARKS))
    return list(range(0, int(units) + 1, each))


def _ruler(values: StowInput, longest: float, scale: float) -> tuple[Stroke, ...]:
    places = (NAME_WIDTH + mark * values.unit_m * scale for mark in _marks(values, longest))
    return tuple(Stroke(f"M{number_text(tenth(x))} 16V22", "cut-rule") for x in places)


def _ruler_labels(values: StowInput, longest: float, scale: float) -> list[Label]:
    found = [Label(0.0, 12.0, _("from the wall"), "x11 c2")]
    for mark in _marks(values, longest):
        x = NAME_WIDTH + mark * values.unit_m * scale
        if x <= NAME_WIDTH + WIDE - 24:
            found.append(Label(tenth(x), 12.0, f"{mark} {values.unit}", "x11 c2"))
    return found


def _summary(values: StowInput) -> str:
    boats = sum(len(row.boats) for row in values.rows)
    stuck = sum(one.in_the_way for row in values.rows for one in row.boats)
    lines = len(values.rows)
    if values.side_by_side:
        what = ngettext("{n} spar", "{n} spars", boats).format(n=boats)
        rows = ngettext("{n} level", "{n} levels", lines).format(n=lines)
    else:
        what = ngettext("{n} boat", "{n} boats", boats).format(n=boats)
        rows = ngettext("{n} row", "{n} rows", lines).format(n=lines)
    return _("{boats} in {rows}, to scale; {stuck} with another in the way.").format(boats=what, rows=rows, stuck=stuck)
