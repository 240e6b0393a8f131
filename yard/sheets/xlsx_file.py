"""XLSX files: unpacked within bounds, formulas taken at the value that was stored, merged cells spread out."""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any

from yard.sheets.grid import (
    LARGEST_UNPACKED_BYTES,
    MOST_COLUMNS,
    MOST_LINES,
    MOST_PARTS,
    MOST_SHEETS,
    Sheet,
    SheetRefused,
    sheet_of,
)
from yard.speech import _, gettext_noop

if TYPE_CHECKING:  # openpyxl is loaded only where a file is read: it would make every start of the site slower
    from openpyxl.worksheet.worksheet import Worksheet

_MERGED = re.compile(rb"mergeCell\s[^>]*?ref\s*=\s*[\"']([A-Z]{1,3})(\d{1,7}):([A-Z]{1,3})(\d{1,7})[\"']")
MAGIC = b"PK\x03\x04"
BROKEN = gettext_noop(
    "This XLSX file is damaged or locked with a password: open it in a spreadsheet program and save it again."
)


def read_xlsx(data: bytes) -> tuple[Sheet, ...]:
    """Every visible sheet that holds something. Raises SheetRefused where the file is damaged or too large."""
    from openpyxl import load_workbook

    _look_inside(data)
    try:
        stored = load_workbook(io.BytesIO(data), data_only=True, keep_links=False)
        typed = load_workbook(io.BytesIO(data), data_only=False, keep_links=False)
    # A reader of a damaged file fails in ways that no list of exceptions covers: KeyError, struct.error,
    # ParseError, zlib.error, TypeError were all seen. Whatever it is, the file is not read, and that is said.
    except Exception:
        raise SheetRefused(_(BROKEN)) from None
    sheets = []
    for shown in stored.worksheets[:MOST_SHEETS]:
        if shown.sheet_state == "visible":
            sheet = _read_sheet(shown, typed[shown.title])
            if sheet.lines:
                sheets.append(sheet)
    return tuple(sheets)


def _look_inside(data: bytes) -> None:
    """Refuse a packed folder that would unpack to too much. The reader never unpacks more than is declared."""
    try:
        folder = zipfile.ZipFile(io.BytesIO(data))
        parts = folder.infolist()
    except (zipfile.BadZipFile, ValueError, NotImplementedError, OSError, UnicodeDecodeError):
        raise SheetRefused(_(BROKEN)) from None
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > LARGEST_UNPACKED_BYTES:
        raise SheetRefused(_("This file unpacks to far more than a list of a yard: save only the list as a new file."))
    for part in parts:
        if part.filename.startswith("xl/worksheets/"):
            _look_at_merged(folder, part)


def _look_at_merged(folder: zipfile.ZipFile, part: zipfile.ZipInfo) -> None:
    """Refuse merged areas that are larger than a list: the reader makes every one of their cells."""
    from openpyxl.utils import column_index_from_string

    try:
        text = folder.read(part)
    except (zipfile.BadZipFile, zlib.error, ValueError, NotImplementedError, OSError, RuntimeError, EOFError):
        raise SheetRefused(_(BROKEN)) from None
    cells = 0
    for left, top, right, bottom in _MERGED.findall(text):
        across = column_index_from_string(right.decode()) - column_index_from_string(left.decode()) + 1
        cells += across * (int(bottom) - int(top) + 1)
    if cells > MOST_LINES * MOST_COLUMNS:
        raise SheetRefused(_("Cells are merged over far more than the list: take the merging off, or save it as CSV."))


def _read_sheet(stored: Worksheet, typed: Worksheet) -> Sheet:
    if stored.max_row > MOST_LINES:
        raise SheetRefused(
            _(
                "The sheet “{title}” reaches down to line {last}; at most {most} are read. Delete the "
                "empty lines under the list, or save it as CSV."
            ).format(title=stored.title, last=stored.max_row, most=MOST_LINES)
        )
    if stored.max_column > MOST_COLUMNS:
        raise SheetRefused(
            _(
                "The sheet “{title}” reaches over {count} columns; at most {most} are read. Delete "
                "the columns that are not needed."
            ).format(title=stored.title, count=stored.max_column, most=MOST_COLUMNS)
        )
    rows = [
        [_text(cell.value, formula.value) for cell, formula in zip(line, formulas, strict=False)]
        for line, formulas in zip(stored.iter_rows(), typed.iter_rows(), strict=False)
    ]
    remarks = _spread_merged(stored, rows)
    return sheet_of(stored.title, list(enumerate(rows, start=stored.min_row)), remarks)


def _spread_merged(sheet: Worksheet, rows: list[list[str]]) -> tuple[str, ...]:
    """A cell merged over several lines tells its value for each of them; one merged across stays a heading."""
    told = []
    top, left = sheet.min_row, sheet.min_column
    for merged in sheet.merged_cells.ranges:
        down, across = merged.max_row - merged.min_row, merged.max_col - merged.min_col
        first, column = merged.min_row - top, merged.min_col - left
        if down and not across and 0 <= first < len(rows) and 0 <= column < len(rows[first]) and rows[first][column]:
            for row in rows[first + 1 : merged.max_row - top + 1]:
                if any(row):  # a blank line in between stays one
                    row[column] = rows[first][column]
            told.append(merged.coord)
    if not told:
        return ()
    named = ", ".join(sorted(told)[:6])
    if len(told) > 6:
        named = _("{cells} and {count} more").format(cells=named, count=len(told) - 6)
    return (_("Merged cells were read as the same value on each of their lines: {named}.").format(named=named),)


NO_VALUE = gettext_noop("a formula without a stored value")


def _text(value: Any, typed: Any) -> str:
    """A cell as text. A formula counts at the value that the program stored when it last calculated it."""
    if value is None and typed is not None:
        return NO_VALUE if isinstance(typed, str) and typed.startswith("=") else ""
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case datetime() if value.time() == time():
            return value.date().isoformat()
        case datetime():
            return value.isoformat(sep=" ", timespec="minutes")
        case date() | time():
            return value.isoformat()
        case timedelta():
            return str(value)
        case float():
            return repr(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
        case _:
            return str(value)
