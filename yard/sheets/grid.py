"""What a file holds once it is read: sheets of lines of cells, all of them text, and how much of it is let in."""

from __future__ import annotations

from dataclasses import dataclass

from yard.speech import _

LARGEST_FILE_BYTES = 5_000_000
LARGEST_UNPACKED_BYTES = 40_000_000
"""An XLSX is a packed folder: a few kilobytes of it can unpack to gigabytes."""
MOST_PARTS = 400
MOST_LINES = 5_000
MOST_COLUMNS = 80
MOST_SHEETS = 12
LONGEST_CELL = 4_000
"""Characters. Far above any note of a yard (common practice); catches a quotation mark that nobody closed."""


class SheetRefused(ValueError):
    """The file cannot be read as a list; the text says why and what to do instead."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a sheet: its number as the reader's program shows it, from 1, and its cells as text.

    A date stands as 2027-05-06, a time as 14:30, yes and no as words; an empty cell is "".
    """

    number: int
    cells: tuple[str, ...]

    @property
    def blank(self) -> bool:
        return not any(self.cells)


@dataclass(frozen=True, slots=True)
class Sheet:
    """The lines of one sheet, blank ones left out, and what was done to read them, in words for the reader."""

    title: str
    lines: tuple[Line, ...]
    remarks: tuple[str, ...] = ()


def tidy(text: str) -> str:
    """Text as it is kept: no control characters, no space at either end of a line, one kind of line end."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").replace("\xa0", " ").replace("\t", " ").split("\n")
    kept = ["".join(char for char in line if char.isprintable()).strip() for line in lines]
    return "\n".join(kept).strip()


def sheet_of(title: str, rows: list[tuple[int, list[str]]], remarks: tuple[str, ...] = ()) -> Sheet:
    """A sheet from numbered rows of raw text. Raises SheetRefused if there is more of it than is let in."""
    lines = []
    for number, row in rows:
        cells = [take_guard_off(tidy(cell)) for cell in row]
        while cells and not cells[-1]:
            cells.pop()
        if not cells:
            continue
        if len(cells) > MOST_COLUMNS:
            raise SheetRefused(
                _("Line {number} has {columns} columns; at most {most} are read. Delete the ones not needed.").format(
                    number=number, columns=len(cells), most=MOST_COLUMNS
                )
            )
        long = next((at for at, cell in enumerate(cells, start=1) if len(cell) > LONGEST_CELL), None)
        if long:
            raise SheetRefused(
                _(
                    "Line {number} holds a cell of over {most} characters, in column {column}: close the "
                    "quotation mark that stands open there, or shorten the text."
                ).format(number=number, most=LONGEST_CELL, column=long)
            )
        lines.append(Line(number, tuple(cells)))
        if len(lines) > MOST_LINES:
            raise SheetRefused(_("More than {most} lines: split the list into several sheets.").format(most=MOST_LINES))
    return Sheet(title, tuple(lines), remarks)


FORMULA_STARTS = ("=", "+", "-", "@")


def needs_guard(text: str) -> bool:
    """Whether a spreadsheet program might take this text for a formula, or for a guarded text."""
    return text.lstrip("'").startswith(FORMULA_STARTS)


def guarded(text: str) -> str:
    """With an apostrophe before it where a program might calculate it. Source: OWASP, CSV injection."""
    return f"'{text}" if needs_guard(text) else text


def take_guard_off(text: str) -> str:
    """The text without the apostrophe that `guarded` put before it; other apostrophes stay."""
    return text[1:] if text.startswith("'") and needs_guard(text) else text
