"""Sheets as they should not be: of each list, damaged in one of some forty ways, the same for the same number."""

from __future__ import annotations

import csv
import io
import random
import zipfile
from collections.abc import Callable, Sequence
from datetime import date, datetime, time, timedelta
from typing import Any, NamedTuple

from openpyxl import Workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

Rows = list[list[str]]


class BadSheet(NamedTuple):
    """damage: what was done to it, for whoever reads that it went wrong."""

    damage: str
    file_name: str
    data: bytes


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
NAMES = [
    "list.csv",
    "list.xlsx",
    "LIST.XLSX.csv",
    "../../x.csv",
    "n" * 300 + ".csv",
    "\u202evsc.tsil",
    "a b;c.csv",
    ".csv",
    "😀",
]


def bad_sheet(number: int, headings: Sequence[str], body: Sequence[Sequence[str]]) -> BadSheet:
    """The nth. headings, body: a good sheet of the list, as it is written."""
    chance = random.Random(number)
    rows = [list(headings), *map(list, body)]
    damage = DAMAGES[number % len(DAMAGES)]
    return BadSheet(damage.__name__.strip("_"), chance.choice(NAMES), damage(chance, rows))


def as_csv(rows: Rows, separator: str = ",") -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=separator).writerows(rows)
    return out.getvalue().encode("utf-8", "surrogatepass")


def as_xlsx(rows: Sequence[Sequence[Any]], *merged: str) -> bytes:
    book = Workbook()
    for row in rows:
        book.active.append(
            [ILLEGAL_CHARACTERS_RE.sub("", cell)[:32_000] if isinstance(cell, str) else cell for cell in row]
        )
    for area in merged:
        book.active.merge_cells(area)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _either(chance: random.Random, rows: Rows) -> bytes:
    return as_xlsx(rows) if chance.random() < 0.3 else as_csv(rows)


# --- what stands in the cells ---


def _one_wild_cell(chance: random.Random, rows: Rows) -> bytes:
    row = chance.choice(rows[1:])
    row[chance.randrange(len(row))] = chance.choice(CELLS)
    return _either(chance, rows)


def _many_wild_cells(chance: random.Random, rows: Rows) -> bytes:
    for row in rows[1:]:
        for at in range(len(row)):
            if chance.random() < 0.3:
                row[at] = chance.choice(CELLS)
    return _either(chance, rows)


def _new_rows_with_a_wild_cell(chance: random.Random, rows: Rows) -> bytes:
    for number, row in enumerate(rows[1:]):
        row[0] = f"new-{number}"
    return _one_wild_cell(chance, rows)


def _one_column_wild(chance: random.Random, rows: Rows) -> bytes:
    at = chance.randrange(len(rows[0]))
    for row in rows[1:]:
        row[at] = chance.choice(CELLS)
    return _either(chance, rows)


def _days_of_other_places(chance: random.Random, rows: Rows) -> bytes:
    days = [
        at for at, heading in enumerate(rows[0]) if any(word in heading for word in ("date", "since", "until", "on"))
    ]
    for row in rows[1:]:
        for at in days or [chance.randrange(len(row))]:
            row[at] = chance.choice(DAYS)
    return _either(chance, rows)


def _another_columns_values(chance: random.Random, rows: Rows) -> bytes:
    one, two = chance.sample(range(len(rows[0])), 2)
    for row in rows[1:]:
        row[one], row[two] = row[two], row[one]
    return _either(chance, rows)


# --- which rows and columns there are ---


def _the_same_rows_twice(chance: random.Random, rows: Rows) -> bytes:
    again = [list(row) for row in rows[1:]]
    for row in again:
        row[0] = chance.choice([row[0], row[0].upper(), f" {row[0]} ", f"{row[0]}\u00a0", ""])
    return _either(chance, [*rows, *again])


def _headings_shuffled(chance: random.Random, rows: Rows) -> bytes:
    chance.shuffle(rows[0])
    return _either(chance, rows)


def _headings_twice(chance: random.Random, rows: Rows) -> bytes:
    one, two = chance.sample(range(len(rows[0])), 2)
    rows[0][one] = rows[0][two]
    return _either(chance, rows)


def _headings_wild(chance: random.Random, rows: Rows) -> bytes:
    for at in chance.sample(range(len(rows[0])), len(rows[0]) // 2):
        rows[0][at] = chance.choice(CELLS)
    return _either(chance, rows)


def _no_headings(chance: random.Random, rows: Rows) -> bytes:
    return _either(chance, rows[1:])


def _headings_alone(chance: random.Random, rows: Rows) -> bytes:
    return _either(chance, rows[:1] * chance.randint(1, 3))


def _headings_further_down(chance: random.Random, rows: Rows) -> bytes:
    above = [[chance.choice(CELLS)] * chance.randint(0, 4) for _ in range(chance.randint(1, 30))]
    return _either(chance, [*above, *rows])


def _columns_missing(chance: random.Random, rows: Rows) -> bytes:
    kept = sorted(chance.sample(range(len(rows[0])), chance.randint(1, len(rows[0]) - 1)))
    return _either(chance, [[row[at] for at in kept] for row in rows])


def _columns_too_many(chance: random.Random, rows: Rows) -> bytes:
    more = chance.choice([5, 60, 80, 200])
    return _either(chance, [row + [f"more {at}" for at in range(more)] for row in rows])


def _lines_of_all_lengths(chance: random.Random, rows: Rows) -> bytes:
    return _either(
        chance, [rows[0], *[row[: chance.randint(0, len(row))] + ["x"] * chance.randint(0, 3) for row in rows[1:]]]
    )


def _titles_between(chance: random.Random, rows: Rows) -> bytes:
    for _ in range(4):
        rows.insert(
            chance.randint(1, len(rows)), chance.choice([["Motor boats"], [], ["", "", "x"], ["-" * 40], rows[0]])
        )
    return _either(chance, rows)


def _far_too_many_lines(chance: random.Random, rows: Rows) -> bytes:
    return as_csv(rows[:1] + [rows[1]] * chance.choice([4_999, 5_001, 21_000]))


def _turned_on_its_side(chance: random.Random, rows: Rows) -> bytes:
    return _either(chance, [list(column) for column in zip(*rows, strict=True)])


# --- how a text file is written ---


def _letters_of_another_kind(chance: random.Random, rows: Rows) -> bytes:
    rows[1][-1] = "Zoë œuvre naïve"
    kinds = [
        "utf-16",
        "utf-16-le",
        "utf-16-be",
        "utf-32",
        "cp1252",
        "cp037",
        "shift_jis",
        "gb18030",
        "cp1255",
        "utf-7",
        "koi8-r",
    ]
    return as_csv(rows).decode().encode(chance.choice(kinds), "replace")


def _letters_cut_or_spoilt(chance: random.Random, rows: Rows) -> bytes:
    data = bytearray(b"\xef\xbb\xbf" * chance.randint(0, 2) + as_csv(rows))
    for _ in range(chance.randint(1, 40)):
        data[chance.randrange(len(data))] = chance.randrange(256)
    return bytes(data[: chance.randint(1, len(data))])


def _quotation_marks(chance: random.Random, rows: Rows) -> bytes:
    data = as_csv(rows).decode()
    for _ in range(chance.randint(1, 6)):
        at = chance.randint(0, len(data))
        data = data[:at] + chance.choice(['"', '""', "'", '","', '"\n"']) + data[at:]
    return data.encode()


def _separators(chance: random.Random, rows: Rows) -> bytes:
    lines = as_csv(rows).decode().splitlines()
    return "\n".join(line.replace(",", chance.choice(",;\t|:~")) for line in lines).encode()


def _ends_of_lines(chance: random.Random, rows: Rows) -> bytes:
    return as_csv(rows).replace(
        b"\r\n", chance.choice([b"\r", b"\n\r", b"\r\r\n", b"\x0b", b"\x0c", b"\xe2\x80\xa8", b"\x00", b""])
    )


def _a_separator_alone(chance: random.Random, rows: Rows) -> bytes:
    return chance.choice([b",", b";", b"\n", b'"', b"a", b" ", b"\t|"]) * chance.choice([1, 100, 79 * 500, 1_000_000])


def _no_sheet_at_all(chance: random.Random, rows: Rows) -> bytes:
    heads = [
        b"",
        b"%PDF-1.7\n",
        b"\x89PNG\r\n\x1a\n",
        b"\x1f\x8b\x08",
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
        b"PK\x03\x04",
        b"PK\x05\x06",
    ]
    heads += [b"<html><table>", b'{"rows": [', b"BEGIN:VCALENDAR\r\n", b"SQLite format 3\x00"]
    return chance.choice(heads) + chance.randbytes(chance.choice([0, 1, 30, 4_000]))


def _larger_than_is_let_in(chance: random.Random, rows: Rows) -> bytes:
    return as_csv(rows) + b"x" * chance.choice([4_990_000, 5_000_001])


# --- how an XLSX file is packed ---


def _repacked(data: bytes, change: Callable[[str, bytes], bytes | None]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            part = change(name, old.read(name))
            if part is not None:
                new.writestr(name, part)
    return out.getvalue()


def _book_bytes_changed(chance: random.Random, rows: Rows) -> bytes:
    data = bytearray(as_xlsx(rows))
    for _ in range(chance.randint(1, 60)):
        data[chance.randrange(len(data))] = chance.randrange(256)
    return bytes(data)


def _book_cut_short(chance: random.Random, rows: Rows) -> bytes:
    data = as_xlsx(rows)
    return data[: chance.randrange(len(data))] + chance.randbytes(chance.choice([0, 50]))


def _book_part_missing(chance: random.Random, rows: Rows) -> bytes:
    data = as_xlsx(rows)
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        gone = chance.choice(book.namelist())
    return _repacked(data, lambda name, part: None if name == gone else part)


def _book_part_spoilt(chance: random.Random, rows: Rows) -> bytes:
    data = as_xlsx(rows)
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        spoilt = chance.choice(book.namelist())
    scraps = [
        b"",
        b"<x>",
        b"&bomb;",
        b"\xff\xfe",
        b"A99999999",
        b"\x00",
        b'r="XFD1048576"',
        b'<c t="s"><v>99999</v></c>',
        b"1e999",
    ]

    def spoil(name: str, part: bytes) -> bytes:
        if name != spoilt:
            return part
        at = chance.randrange(len(part) or 1)
        return part[:at] + chance.choice(scraps) + part[at + chance.randint(0, 40) :]

    return _repacked(data, spoil)


def _book_bomb(chance: random.Random, rows: Rows) -> bytes:
    """Few bytes that unpack to many; also where the folder says that they do not."""
    big = chance.choice([b"0" * 45_000_000, b" " * 39_000_000, b"<row>" * 7_000_000])
    data = _repacked(as_xlsx(rows), lambda name, part: part + big if name.endswith("sheet1.xml") else part)
    if chance.random() < 0.5:  # the size that is declared: a lie
        data = data.replace((len(big) // 1 + 0).to_bytes(4, "little"), b"\x10\x00\x00\x00")
    return data


def _book_laughs(chance: random.Random, rows: Rows) -> bytes:
    """XML entities that each stand for ten of the one before; and one that reads a file of the machine."""
    names = "abcdefghij"
    multiply = "".join(f'<!ENTITY {b} "{f"&{a};" * 10}">' for a, b in zip(names, names[1:], strict=False))
    read = '<!ENTITY j SYSTEM "file:///etc/hostname">'
    dtd = f'<!DOCTYPE x [<!ENTITY a "ha">{chance.choice([multiply, read])}]>'
    laughs = f'<?xml version="1.0"?>{dtd}<worksheet><sheetData><row><c t="inlineStr"><is><t>&j;</t></is></c></row></sheetData></worksheet>'
    where = chance.choice(["sheet1.xml", "workbook.xml", "styles.xml", "sharedStrings.xml"])
    return _repacked(as_xlsx(rows), lambda name, part: laughs.encode() if name.endswith(where) else part)


def _book_merged(chance: random.Random, rows: Rows) -> bytes:
    areas = [f"{chance.choice('ABC')}{top}:{chance.choice('DEF')}{top + chance.randint(0, 3)}" for top in (1, 5, 9)]
    data = as_xlsx(rows, *areas)
    wide = chance.choice([b"A1:XFD1048576", b"B2:B5000", b"A1:A1", b"ZZZ9:A1", b"A0:B0"])
    return _repacked(data, lambda name, part: part.replace(areas[0].encode(), wide)) if chance.random() < 0.5 else data


def _book_of_odd_values(chance: random.Random, rows: Rows) -> bytes:
    odd = [-1.5, 0, 1e308, 2**63, True, date(1900, 1, 1), date(9999, 12, 31), datetime(2027, 5, 6, 23, 59, 59, 999999)]
    odd += [time(0, 0), timedelta(days=-3), timedelta(days=99_999), "=A1", "=1+1", "#DIV/0!", 45000.5, None]
    changed: list[list[Any]] = [list(row) for row in rows]
    for row in changed[1:]:
        row[chance.randrange(len(row))] = chance.choice(odd)
    return as_xlsx(changed)


def _book_of_serial_days(chance: random.Random, rows: Rows) -> bytes:
    """Numbers that are written as days, beyond what a day can be."""
    wild = chance.choice([b"99999999", b"-5", b"1e300", b"60", b"0.5", b"2958466", b"nan"])
    dated: list[list[Any]] = [list(row) for row in rows]
    for row in dated[1:]:
        row[-1] = date(2027, 5, 6)
    return _repacked(as_xlsx(dated), lambda name, part: part.replace(b"<v>46513</v>", b"<v>" + wild + b"</v>"))


def _book_of_several_sheets(chance: random.Random, rows: Rows) -> bytes:
    book = Workbook()
    for _ in range(chance.randint(1, 20)):
        sheet = book.create_sheet(f"s{chance.randint(0, 9)}")
        sheet.sheet_state = chance.choice(["visible", "hidden", "veryHidden"])
        for row in rows[: chance.randint(0, len(rows))]:
            sheet.append([ILLEGAL_CHARACTERS_RE.sub("", cell) for cell in row])
    if chance.random() < 0.3:
        book.create_chartsheet("drawn")
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _book_that_reaches_far(chance: random.Random, rows: Rows) -> bytes:
    book = Workbook()
    for row in rows:
        book.active.append([ILLEGAL_CHARACTERS_RE.sub("", cell) for cell in row])
    book.active[chance.choice(["A5000", "A5001", "A1048576", "CB1", "CC1", "XFD1", "XFD1048576"])] = "x"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _packed_folder_of_something_else(chance: random.Random, rows: Rows) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as folder:
        for number in range(chance.choice([0, 1, 3, 500])):
            folder.writestr(f"{chance.choice(['../' * 5, '/', 'xl/worksheets/', 'word/', ''])}{number}.xml", b"<x/>")
    return out.getvalue()


DAMAGES: list[Callable[[random.Random, Rows], bytes]] = [
    _one_wild_cell,
    _book_bytes_changed,
    _new_rows_with_a_wild_cell,
    _book_part_spoilt,
    _many_wild_cells,
    _letters_of_another_kind,
    _the_same_rows_twice,
    _quotation_marks,
    _one_column_wild,
    _book_of_odd_values,
    _days_of_other_places,
    _letters_cut_or_spoilt,
    _another_columns_values,
    _book_merged,
    _headings_shuffled,
    _separators,
    _headings_twice,
    _book_cut_short,
    _headings_wild,
    _ends_of_lines,
    _no_headings,
    _book_laughs,
    _headings_alone,
    _no_sheet_at_all,
    _headings_further_down,
    _book_of_several_sheets,
    _columns_missing,
    _book_part_missing,
    _columns_too_many,
    _book_of_serial_days,
    _lines_of_all_lengths,
    _a_separator_alone,
    _titles_between,
    _packed_folder_of_something_else,
    _turned_on_its_side,
    _book_that_reaches_far,
]
DEAR_DAMAGES = [_far_too_many_lines, _larger_than_is_let_in, _book_bomb]
"""A second or more each: one sheet in fifty of a long trial, and none of the tests'."""


def dear_sheet(number: int, headings: Sequence[str], body: Sequence[Sequence[str]]) -> BadSheet:
    chance = random.Random(number)
    damage = DEAR_DAMAGES[number % len(DEAR_DAMAGES)]
    return BadSheet(damage.__name__.strip("_"), "list.csv", damage(chance, [list(headings), *map(list, body)]))
