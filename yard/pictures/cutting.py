"""A cutting plan drawn to scale: the roll unrolls to the right, in lengths that fit a page one below another.

A piece that a page's edge cuts through is drawn on both lengths. Sheets of foam are drawn each as a length of its own.
"""

from __future__ import annotations

from dataclasses import dataclass

from yard.pictures.lettering import cut
from yard.pictures.shapes import Label, PictureValueError, Rect, Stroke, number_text, tenth
from yard.speech import _, ngettext

WIDE, LEFT, TOP, FOOT = 700.0, 8.0, 20.0, 6.0
NAMED, SIZED = 15.0, 30.0
"""How high a piece is drawn at least so that its name, and its size below it, are written in it."""


@dataclass(frozen=True, slots=True)
class Cut:
    """A piece as it lies, in millimetres: from the beginning of the roll (along), from its left edge (across).

    number: as in the table; size: in words, as it is cut.
    """

    number: int
    name: str
    along_mm: int
    across_mm: int
    length_mm: int
    width_mm: int
    size: str = ""

    def __post_init__(self) -> None:
        if self.length_mm < 1 or self.width_mm < 1:
            raise PictureValueError(f"{self.name} is {self.length_mm} × {self.width_mm} mm: nothing to draw")


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark of the ruler, with its words."""

    at_mm: int
    words: str


@dataclass(frozen=True, slots=True)
class CuttingInput:
    """row_mm: how much of the roll is drawn on one line. name: of the roll or sheet. repeat_mm: 0 for plain cloth."""

    name: str
    width_mm: int
    length_mm: int
    row_mm: int
    cuts: tuple[Cut, ...]
    marks: tuple[Mark, ...] = ()
    selvage_mm: int = 0
    repeat_mm: int = 0
    repeat_from_mm: int = 0

    def __post_init__(self) -> None:
        if min(self.width_mm, self.length_mm, self.row_mm) < 1:
            raise PictureValueError("a roll or sheet needs a width, a length and a length to draw on one line")


@dataclass(frozen=True, slots=True)
class CuttingRow:
    """One length of the roll. cloth: what is drawn of it; selvages and pattern lines lie on it."""

    width: float
    height: float
    cloth: Rect
    selvages: tuple[Rect, ...]
    pieces: tuple[Rect, ...]
    lines: tuple[Stroke, ...]
    labels: tuple[Label, ...]
    summary: str


def lay_out(values: CuttingInput) -> tuple[CuttingRow, ...]:
    """The lengths of the roll, from where cutting begins."""
    starts = range(0, values.length_mm, values.row_mm)
    return tuple(_row(values, start, min(start + values.row_mm, values.length_mm)) for start in starts)


def _row(values: CuttingInput, start: int, end: int) -> CuttingRow:
    scale = WIDE / values.row_mm
    tall = tenth(values.width_mm * scale)
    cloth = Rect(LEFT, TOP, tenth((end - start) * scale), tall, "f-rest", title=_("cloth that is left over"))
    here = [one for one in values.cuts if one.along_mm < end and one.along_mm + one.length_mm > start]
    boxes = [_box(one, start, end, scale) for one in here]
    labels = [label for one, box in zip(here, boxes, strict=True) for label in _words(one, box)]
    edge = tenth(values.selvage_mm * scale)
    selvages = tuple(
        Rect(LEFT, tenth(y), cloth.width, edge, "selvage", title=_("selvage, not used"))
        for y in ((TOP, TOP + tall - edge) if edge >= 1 else ())
    )
    return CuttingRow(
        width=LEFT * 2 + WIDE,
        height=tenth(TOP + tall + FOOT),
        cloth=cloth,
        selvages=selvages,
        pieces=tuple(boxes),
        lines=(*_ruler(values, start, end, scale), *_pattern(values, start, end, scale, cloth)),
        labels=(*_marks(values, start, end, scale), *labels),
        summary=_summary(values, start, end, here),
    )


def _box(one: Cut, start: int, end: int, scale: float) -> Rect:
    """The part of a piece that lies on this length."""
    left, right = max(one.along_mm, start), min(one.along_mm + one.length_mm, end)
    x, y = LEFT + (left - start) * scale, TOP + one.across_mm * scale
    words = f"{one.number} {one.name}" + (f", {one.size}" if one.size else "")
    return Rect(
        tenth(x), tenth(y), tenth((right - left) * scale), tenth(one.width_mm * scale), "plain cut", title=words
    )


def _words(one: Cut, box: Rect) -> list[Label]:
    """Number and name where they fit, else the number; its size below where there is room."""
    room, middle = box.width - 6, tenth(box.y + box.height / 2)
    if box.height < NAMED - 4:
        return []
    whole = f"{one.number} {one.name}"
    shown = cut(whole, 12.5, room, bold=True)
    if len(shown) < len(whole) and len(shown) <= len(str(one.number)) + 2:
        shown = cut(str(one.number), 12.5, room, bold=True)
    if not shown:
        return []
    sized = bool(one.size) and box.height >= SIZED and cut(one.size, 11.5, room) == one.size
    x, title = tenth(box.x + 4), "" if shown == whole else whole
    labels = [Label(x, tenth(middle - 2 if sized else middle + 4), shown, "x12 bd", title)]
    if sized:
        labels.append(Label(x, tenth(middle + 12), one.size, "x11"))
    return labels


def _ruler(values: CuttingInput, start: int, end: int, scale: float) -> list[Stroke]:
    places = [tenth(LEFT + (mark.at_mm - start) * scale) for mark in values.marks if start <= mark.at_mm <= end]
    return [Stroke(f"M{number_text(x)} {number_text(TOP - 6)}V{number_text(TOP)}", "cut-rule") for x in places]


def _marks(values: CuttingInput, start: int, end: int, scale: float) -> list[Label]:
    """Words of the ruler; the last on a line is left out where it would leave the picture."""
    found = []
    for mark in values.marks:
        if start <= mark.at_mm < end or mark.at_mm == end == values.length_mm:
            x = LEFT + (mark.at_mm - start) * scale
            if x <= LEFT + WIDE - 36 or mark.at_mm == start:
                found.append(Label(tenth(x + 2), tenth(TOP - 8), mark.words, "x11 c2"))
    return found


def _pattern(values: CuttingInput, start: int, end: int, scale: float, cloth: Rect) -> list[Stroke]:
    """Where the pattern comes again, across the roll; none where the lines would run together."""
    if not values.repeat_mm or values.repeat_mm * scale < 4:
        return []
    first = start + (values.repeat_from_mm - start) % values.repeat_mm
    places = [tenth(LEFT + (at - start) * scale) for at in range(first, end, values.repeat_mm)]
    top, bottom = number_text(cloth.y), number_text(cloth.bottom)
    return [Stroke(f"M{number_text(x)} {top}V{bottom}", "cut-repeat") for x in places]


def _summary(values: CuttingInput, start: int, end: int, here: list[Cut]) -> str:
    return ngettext(
        "{cloth}, {start} to {end} mm: {n} piece, {pieces}",
        "{cloth}, {start} to {end} mm: {n} pieces, {pieces}",
        len(here),
    ).format(
        cloth=values.name,
        start=start,
        end=end,
        n=len(here),
        pieces="; ".join(f"{one.number} {one.name}" for one in here),
    )
