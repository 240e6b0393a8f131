"""Which line of a sheet holds the headings, and which column of a list each heading means."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from yard.sheets.columns import Column, Kind
from yard.sheets.dates import Order, asks_for_order, orders_told
from yard.sheets.grid import Line, Sheet
from yard.sheets.measures import UNIT_OF, UNITS
from yard.speech import _

LOOKED_AT = 20
"""Lines among which the headings are looked for: above them stand a title, a date, a logo."""


@dataclass(frozen=True, slots=True)
class Match:
    """A column of a sheet, from 0, and what it is taken for.

    column: the key of ours, or "" where it is left out. read_as: the unit of its bare numbers, or the order of its
    dates, or "" where neither is needed or nobody has said it. sure: told by its words or remembered, so nobody need
    look. told: how read_as came about, in words.
    """

    at: int
    heading: str
    column: str = ""
    read_as: str = ""
    sure: bool = False
    told: str = ""


@dataclass(frozen=True, slots=True)
class Remembered:
    """What somebody chose for a heading before."""

    column: str
    read_as: str = ""


def words_of(heading: str) -> str:
    """A heading without its unit, signs and capitals: what is remembered, and matched. "LOA (ft.)" gives "loa"."""
    plain = re.sub(r"[\(\[].*?[\)\]]", " ", heading.casefold())
    parts = re.sub(r"[^\w/#]+", " ", plain.replace("_", " ")).split()
    if len(parts) > 1 and parts[-1] in UNIT_OF:
        parts.pop()
    return " ".join(parts)


def unit_in(heading: str, column: Column) -> str:
    """The unit that a heading names for this column, or ""."""
    units = UNITS.get(column.kind, {})
    plain = heading.casefold().replace("_", " ")
    inside = re.findall(r"[\(\[]\s*(.*?)\s*[\)\]]", plain)
    last = re.sub(r"[^\w²]+", " ", plain).split()[-1:]
    for name in (*inside, *last):
        if (unit := UNIT_OF.get(name.strip(" ."), "")) in units:
            return unit
    return ""


def column_for(heading: str, columns: Iterable[Column]) -> Column | None:
    """The column whose heading, key or other words these are."""
    words = words_of(heading)
    if not words:
        return None
    for column in columns:
        known = (column.heading, column.key, *column.words)
        if words in {words_of(one) for one in known} or heading.casefold() == column.key:
            return column
    return None


def head_line(sheet: Sheet, columns: Sequence[Column]) -> int:
    """The number of the line that holds the headings: of the first ones, the one with most known words."""

    def known(line: Line) -> int:
        return len({found.key for cell in line.cells if (found := column_for(cell, columns)) is not None})

    looked = sheet.lines[:LOOKED_AT]
    best = max(looked, key=lambda line: (known(line), -line.number))
    if known(best) == 0:  # nothing known: the first line that is more than a title
        best = next((line for line in looked if sum(map(bool, line.cells)) > 1), looked[0])
    return best.number


def body_of(sheet: Sheet, head: int) -> tuple[Line, ...]:
    """The lines under the headings, the headings said again left out."""
    said = next((line.cells for line in sheet.lines if line.number == head), ())
    return tuple(line for line in sheet.lines if line.number > head and line.cells != said)


def match(
    sheet: Sheet, head: int, columns: Sequence[Column], remembered: Mapping[str, Remembered]
) -> tuple[Match, ...]:
    """Each heading with what it is taken for: as somebody chose before, else by its words. Each column once."""
    headings = next((line.cells for line in sheet.lines if line.number == head), ())
    body = body_of(sheet, head)
    width = max([len(headings), *(len(line.cells) for line in body)])
    taken: set[str] = set()
    matches = []
    for at in range(width):
        heading = headings[at] if at < len(headings) else ""
        texts = cells_at(body, at)
        if not heading and not texts:
            continue
        found = _match(at, heading, columns, remembered.get(words_of(heading)))
        if found.column in taken:
            found = Match(at, heading)
        if found.column:
            taken.add(found.column)
            found = _read_as(found, next(one for one in columns if one.key == found.column), texts)
        matches.append(found)
    return tuple(matches)


def cells_at(body: Iterable[Line], at: int) -> list[str]:
    """What stands in a column, empty cells left out."""
    return [line.cells[at] for line in body if at < len(line.cells) and line.cells[at]]


def _match(at: int, heading: str, columns: Sequence[Column], before: Remembered | None) -> Match:
    if before is not None and (not before.column or any(one.key == before.column for one in columns)):
        return Match(
            at, heading, before.column, before.read_as, sure=True, told=_("as last time") if before.read_as else ""
        )
    column = column_for(heading, columns)
    return Match(at, heading) if column is None else Match(at, heading, column.key, sure=True)


def _read_as(found: Match, column: Column, texts: list[str]) -> Match:
    """With the unit or the order of dates, where the heading or the cells tell it, else as it was chosen before."""
    if column.measured:
        unit = unit_in(found.heading, column)
        if unit:
            return replace(found, read_as=unit, told=_("as its heading says"))
        return found if found.read_as in UNITS[column.kind] else replace(found, read_as="", told="")
    if column.kind is Kind.DATE:
        told = orders_told(texts)
        if len(told) == 1:
            return replace(found, read_as=next(iter(told)).value, told=_("as other dates of this column say"))
        if len(told) == 2 or not asks_for_order(texts) or found.read_as not in list(Order):
            return replace(found, read_as="", told="")
        return found
    return replace(found, read_as="", told="")


def question_of(found: Match, column: Column, texts: list[str]) -> str:
    """What must still be asked about a column before its cells can be read: "unit", "order" or ""."""
    if found.read_as:
        return ""
    if column.measured and any(re.fullmatch(r"[+-]?[\d.,]+", text) for text in texts):
        return "unit"
    return "order" if column.kind is Kind.DATE and asks_for_order(texts) else ""
