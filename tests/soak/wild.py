"""Values that no cell should hold, and the ways of writing rows into a file."""

from __future__ import annotations

import csv
import io
import random
from collections.abc import Sequence
from typing import Any

from openpyxl import Workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

Rows = list[list[str]]

DAYS = [
    "31.12.2027",
    "12/31/27",
    "5/6/2027",
    "2027年5月6日",
    "6 Mai 2027",
    "le 6 mai",
    "Thu 6 May",
    "45000",
    "1904-01-01",
]
DAYS += [
    "29 Feb 2027",
    "2027-02-30",
    "0000-00-00",
    "10000-01-01",
    "2027-W18-4",
    "6th of May",
    "May",
    "2027-05-06T25:61Z",
]
NUMBERS = [
    "1e999",
    "-1e999",
    "NaN",
    "inf",
    "9" * 5000,
    "0x1F",
    "1_000",
    "1.000,50",
    "1 234,5",
    "٣",
    "²",
    "½",
    "-0",
    "1e-400",
]
MEASURES = [
    "28'99\"",
    "28' 6' 2\"",
    "5'²\"",
    "1/0 ft",
    "1/0",
    "1//2 m",
    "7,5 m",
    "9999999999 ft",
    "-3 m",
    "12 fathoms",
    "m",
]
FORMULAS = [
    "=1/0",
    '=HYPERLINK("http://x.example")',
    "@SUM(A1)",
    "+1+1",
    "-2+3+cmd|' /C calc'!A0",
    "#REF!",
    "#N/A",
    "'=1",
]
LETTERS = [
    "\u202eevil\u202c",
    "\u200f\u05d0\u05d1",
    "a\u0301" * 300,
    "😀" * 900,
    "\ufeff",
    "\ufffe",
    "\u2028",
    "\x85",
    "\x0b",
]
CONTROL = ["\x00", "a\x00b", "\x01\x02\x1b[31m", "\x7f", "a\rb", "a\r\nb\nc", "\t\t", "\x1a"]
LENGTHS = ["x" * 3999, "x" * 4000, "x" * 4001, "x" * 70_000, "a, " * 900, ";" * 900, "(" * 900, "a" * 101, "-" * 600]
MARKUP = [
    "<script>alert(1)</script>",
    "{{ 7*7 }}",
    "%s%n",
    "'; DROP TABLE yard_boat; --",
    "../../etc/passwd",
    "\\",
    "&amp;",
]
CELLS = (
    DAYS + NUMBERS + MEASURES + FORMULAS + LETTERS + CONTROL + LENGTHS + MARKUP + ["", " ", "?", "n/a", "yes", "None"]
)


def as_csv(rows: Rows, separator: str = ",") -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=separator).writerows(rows)
    return out.getvalue().encode("utf-8", "surrogatepass")


def as_xlsx(rows: Sequence[Sequence[Any]], *merged: str) -> bytes:
    book = Workbook()
    for row in rows:
        book.active.append([writable(cell) for cell in row])
    for area in merged:
        book.active.merge_cells(area)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def either(chance: random.Random, rows: Rows) -> bytes:
    return as_xlsx(rows) if chance.random() < 0.3 else as_csv(rows)


def writable(cell: Any) -> Any:
    """What the library that writes books takes."""
    return ILLEGAL_CHARACTERS_RE.sub("", cell)[:32_000] if isinstance(cell, str) else cell
