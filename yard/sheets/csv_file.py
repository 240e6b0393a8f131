"""Text files: which letters they are written in, what parts their cells, and the cells."""

from __future__ import annotations

import csv
import io

from yard.sheets.grid import MOST_COLUMNS, MOST_LINES, Sheet, SheetRefused, sheet_of
from yard.speech import _

SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "upright strokes"}
LOOKED_AT = 50
"""Lines from which the separator is told."""


def read_csv(data: bytes, title: str) -> Sheet:
    """Raises SheetRefused where the bytes are no text, or a quotation mark stands open."""
    text, remark = _decoded(data)
    separator = _separator(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    rows: list[tuple[int, list[str]]] = []
    starts = 1
    try:
        for row in reader:
            rows.append((starts, row))
            starts = reader.line_num + 1
            if len(rows) > 4 * MOST_LINES:
                raise SheetRefused(
                    _("More than {most} lines, blank ones counted: split the list.").format(most=4 * MOST_LINES)
                )
    except csv.Error:
        raise SheetRefused(
            _(
                "Line {starts} cannot be read: a quotation mark there is not closed, or stands inside a cell. "
                "Save the sheet as XLSX, or as CSV from a spreadsheet program."
            ).format(starts=starts)
        ) from None
    return sheet_of(title, rows, (remark,) if remark else ())


def _decoded(data: bytes) -> tuple[str, str]:
    """The text, and a remark where the letters had to be told by trying."""
    for mark, encoding in ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16")):
        if data.startswith(mark):
            return _strictly(data, encoding), ""
    if b"\x00" in data:
        raise SheetRefused(_("This is neither a text file nor an XLSX sheet: save the list as XLSX or CSV."))
    try:
        return data.decode("utf-8"), ""
    except UnicodeDecodeError:
        text = _strictly(data, "cp1252")
    return text, _("The letters were read as Windows-1252: look at names with accents, or save as UTF-8 or XLSX.")


def _strictly(data: bytes, encoding: str) -> str:
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        raise SheetRefused(_("The letters of this file cannot be read: save it as XLSX, or as CSV in UTF-8.")) from None
    if "\x00" in text:
        raise SheetRefused(_("This is neither a text file nor an XLSX sheet: save the list as XLSX or CSV."))
    return text


def _separator(text: str) -> str:
    """What parts the cells: the sign that parts the most of the first lines into the same number of cells."""
    head = text.splitlines()[:LOOKED_AT]

    def agreement(separator: str) -> tuple[int, int]:
        try:
            counts = [len(row) for row in csv.reader(head, delimiter=separator) if any(row)]
        except csv.Error:
            return (0, 0)
        usual = max(set(counts), key=lambda count: (counts.count(count), count), default=1)
        return (counts.count(usual) if 1 < usual <= MOST_COLUMNS else 0, usual)

    best = max(SEPARATORS, key=agreement)
    return best if agreement(best)[0] else ","
