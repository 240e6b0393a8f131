"""Rows into files again: values in the yard's own unit, texts guarded, dates as dates."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from yard.sheets.columns import Column, Kind, Value
from yard.sheets.grid import guarded, take_guard_off, tidy
from yard.sheets.hours import week_in_words
from yard.sheets.measures import EXAMPLES, UNITS
from yard.speech import _, gettext_noop, number, whole

if TYPE_CHECKING:  # openpyxl is loaded only where a file is written: it would make every start of the site slower
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.worksheet._write_only import WriteOnlyWorksheet

Cell = str | float | int | date
UNIT_WRITTEN = {
    Kind.LENGTH: ("m", "ft"),
    Kind.MASS: ("kg", "lb"),
    Kind.AREA: ("m2", "ft2"),
}
"""The unit of a yard that reads metres, and of one that reads feet."""
FINENESS = {Kind.LENGTH: 0.0005, Kind.MASS: 0.05, Kind.AREA: 0.005, Kind.ANGLE: 1e-7, Kind.NUMBER: 1e-9}
"""In metres, kilograms, square metres, degrees: less is no change. Written figures keep to a quarter of it."""
UNIT_READ = {"m2": "m²", "ft2": "sq ft"}
"""Units that people read in other letters than a heading of a sheet has."""
WHOLE_FROM = 100.0
"""Kilograms and pounds from here on are read without decimals, with a comma at the thousands: 10,340 lb."""
YES, NO = gettext_noop("yes"), gettext_noop("no")
LEVEL_WORDS = {"1": "helps", "2": "does it", "3": "leads it"}


@dataclass(frozen=True, slots=True)
class Table:
    """What goes into a file."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[Mapping[str, Value], ...]
    feet: bool

    @property
    def headings(self) -> list[str]:
        return [heading_of(column, feet=self.feet) for column in self.columns]

    def cells(self) -> Iterable[list[Cell]]:
        for row in self.rows:
            yield [cell_of(column, row.get(column.key), feet=self.feet) for column in self.columns]


def unit_of(column: Column, *, feet: bool) -> str:
    """The unit in which this column is written, or ""."""
    return UNIT_WRITTEN[column.kind][feet] if column.measured else ""


def unit_read(column: Column, *, feet: bool) -> str:
    """The same as a person reads it on a page."""
    unit = unit_of(column, feet=feet)
    return UNIT_READ.get(unit, unit)


def heading_of(column: Column, *, feet: bool) -> str:
    """The heading, with the unit of its bare numbers."""
    unit = unit_of(column, feet=feet)
    return f"{column.heading} ({unit})" if unit else column.heading


def cell_of(column: Column, value: Value, *, feet: bool) -> Cell:
    """A value as a cell: a number, a day, or text without guard."""
    match value:
        case None:
            return ""
        case bool():
            return YES if value else NO
        case tuple():
            return _several(column, value)
        case int():
            return value
        case float():
            return round(value / UNITS[column.kind][unit_of(column, feet=feet)], 4) if column.measured else value
        case str() if column.kind is Kind.DATE:
            return date.fromisoformat(value)
        case str() if column.choices:
            return column.choices[value][0] if value in column.choices else value
        case str():
            return tidy(value)


def _several(column: Column, value: tuple[str, ...]) -> str:
    match column.kind:
        case Kind.HOURS:
            return week_in_words(value)
        case Kind.SKILLS:
            pairs = [one.rpartition(" ") for one in value]
            return "; ".join(f"{key} ({LEVEL_WORDS[level]})" for key, _, level in pairs)
        case _:
            return "; ".join(value)


def same(column: Column, old: Value, new: Value) -> bool:
    """Whether a sheet says what is on file already: as fine as a sheet is written, and texts as they are kept."""
    if isinstance(old, str) and isinstance(new, str):
        return tidy(old) == new
    if old is None or new is None:
        return (old or "") == (new or "") if column.kind in (Kind.TEXT, Kind.CHOICE) else old == new
    if isinstance(old, float) or isinstance(new, float):
        assert isinstance(old, int | float)
        assert isinstance(new, int | float)
        return abs(old - new) <= FINENESS[column.kind]
    return old == new


def in_words(column: Column, value: Value, *, feet: bool) -> str:
    """A value as a person reads it on a page; "–" where there is none."""
    if value is None or value == "" or value == ():
        return "–"
    cell = cell_of(column, value, feet=feet)
    unit = unit_read(column, feet=feet)
    if column.kind is Kind.MASS and isinstance(cell, float) and abs(cell) >= WHOLE_FROM:
        shown = whole(cell)
    elif column.measured and isinstance(cell, float):
        shown = number(cell, len(f"{cell:.2f}".rstrip("0").partition(".")[2]))
    elif column.kind is Kind.YES_NO or column.choices:
        shown = _(str(cell))
    else:
        shown = str(cell)
    return f"{shown} {unit}" if unit else shown


def write_csv(table: Table) -> bytes:
    """In UTF-8 with its mark, so that spreadsheet programs read accents; RFC 4180 line ends."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(table.headings)
    for row in table.cells():
        writer.writerow([guarded(cell) if isinstance(cell, str) else cell for cell in row])
    return out.getvalue().encode("utf-8-sig")


def write_xlsx(table: Table) -> bytes:
    """One sheet, its headings in bold and frozen. Texts are marked as text, so that no program calculates them."""
    return write_book((table,))


def write_book(tables: Sequence[Table]) -> bytes:
    """A sheet for each table, as `write_xlsx` writes one."""
    from openpyxl import Workbook

    book = Workbook(write_only=True)
    for table in tables:
        sheet = book.create_sheet(_sheet_title(table.title))
        sheet.freeze_panes = "B2"
        for at, column in enumerate(table.columns):
            sheet.column_dimensions[_letter(at)].width = 30 if column.kind is Kind.TEXT and column.key != "ref" else 16
        sheet.append([_cell(sheet, heading, bold=True) for heading in table.headings])
        for row in table.cells():
            sheet.append([_cell(sheet, value) for value in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


LONGEST_TITLE = 31
"""Letters of a sheet's name. Source: Excel specifications and limits, from memory."""


def _sheet_title(title: str) -> str:
    """Without what a spreadsheet program refuses in a sheet's name."""
    return re.sub(r"[\[\]:*?/\\]", " ", title)[:LONGEST_TITLE]


def _cell(sheet: WriteOnlyWorksheet, value: Cell, *, bold: bool = False) -> WriteOnlyCell:
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles import Font

    if isinstance(value, str):
        # A text that would lose an apostrophe on its way back gets one more; others need none in a text cell.
        shown = f"'{value}" if take_guard_off(value) != value else value
        cell = WriteOnlyCell(sheet, value=shown)
        cell.data_type = "s"
    else:
        cell = WriteOnlyCell(sheet, value=value)
        if isinstance(value, date):
            cell.number_format = "yyyy-mm-dd"
    if bold:
        cell.font = Font(bold=True)
    return cell


def _letter(at: int) -> str:
    """The letters of a column, from 0: A, B, ... Z, AA."""
    first, last = divmod(at, 26)
    return (chr(ord("A") + first - 1) if first else "") + chr(ord("A") + last)


TEMPLATE_NOTE = "what to write"


def template_rows(columns: Sequence[Column]) -> list[list[Cell]]:
    """The lines of a template's second sheet: each heading, whether it must be there, and what to write in it."""
    lines: list[list[Cell]] = [[_("heading"), _("must be there"), _("what to write"), _("for example")]]
    for column in columns:
        kinds = {
            **{kind: _(example) for kind, example in EXAMPLES.items()},
            Kind.DATE: _("{first} or {last}").format(first="2027-05-06", last="6 May 2027"),
            Kind.YES_NO: _("{first} or {last}").format(first="yes", last="no"),
            Kind.CHOICE: ", ".join(words[0] for words in column.choices.values()),
        }
        about = ". ".join(part for part in (column.about, kinds.get(column.kind, "")) if part)
        lines.append([column.heading, _(YES) if column.needed else "", about, column.sample])
    return lines


def write_template(title: str, columns: Sequence[Column]) -> bytes:
    """An empty XLSX sheet with our headings, and a second sheet that says what to write under each."""
    from openpyxl import Workbook

    asked = [column for column in columns if not column.shown]
    book = Workbook(write_only=True)
    sheet, about = book.create_sheet(title), book.create_sheet(TEMPLATE_NOTE)
    sheet.freeze_panes = "B2"
    for at in range(len(asked)):
        sheet.column_dimensions[_letter(at)].width = 20
    sheet.append([_cell(sheet, column.heading, bold=True) for column in asked])
    for at, width in enumerate((24, 14, 64, 34)):
        about.column_dimensions[_letter(at)].width = width
    for at, line in enumerate(template_rows(asked)):
        about.append([_cell(about, value, bold=at == 0) for value in line])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()
