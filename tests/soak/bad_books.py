"""Books (XLSX) that are packed as they should not be: damaged, far too large, with odd values, or no books at all."""

from __future__ import annotations

import io
import random
import zipfile
from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from typing import Any

from openpyxl import Workbook

from tests.soak.wild import Rows, as_xlsx, writable


def _repacked(data: bytes, change: Callable[[str, bytes], bytes | None]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            part = change(name, old.read(name))
            if part is not None:
                new.writestr(name, part)
    return out.getvalue()


def book_bytes_changed(chance: random.Random, rows: Rows) -> bytes:
    data = bytearray(as_xlsx(rows))
    for _ in range(chance.randint(1, 60)):
        data[chance.randrange(len(data))] = chance.randrange(256)
    return bytes(data)


def book_cut_short(chance: random.Random, rows: Rows) -> bytes:
    data = as_xlsx(rows)
    return data[: chance.randrange(len(data))] + chance.randbytes(chance.choice([0, 50]))


def book_part_missing(chance: random.Random, rows: Rows) -> bytes:
    data = as_xlsx(rows)
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        gone = chance.choice(book.namelist())
    return _repacked(data, lambda name, part: None if name == gone else part)


def book_part_spoilt(chance: random.Random, rows: Rows) -> bytes:
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


def book_bomb(chance: random.Random, rows: Rows) -> bytes:
    """Few bytes that unpack to many; also where the folder says that they do not."""
    big = chance.choice([b"0" * 45_000_000, b" " * 39_000_000, b"<row>" * 7_000_000])
    data = _repacked(as_xlsx(rows), lambda name, part: part + big if name.endswith("sheet1.xml") else part)
    if chance.random() < 0.5:  # the size that is declared: a lie
        with zipfile.ZipFile(io.BytesIO(data)) as folder:
            size = max(part.file_size for part in folder.infolist())
        data = data.replace(size.to_bytes(4, "little"), (4096).to_bytes(4, "little"))
    return data


def book_laughs(chance: random.Random, rows: Rows) -> bytes:
    """XML entities that each stand for ten of the one before; and one that reads a file of the machine."""
    names = "abcdefghij"
    multiply = "".join(f'<!ENTITY {b} "{f"&{a};" * 10}">' for a, b in pairwise(names))
    read = '<!ENTITY j SYSTEM "file:///etc/hostname">'
    dtd = f'<!DOCTYPE x [<!ENTITY a "ha">{chance.choice([multiply, read])}]>'
    cell = '<c t="inlineStr"><is><t>&j;</t></is></c>'
    laughs = f'<?xml version="1.0"?>{dtd}<worksheet><sheetData><row>{cell}</row></sheetData></worksheet>'
    where = chance.choice(["sheet1.xml", "workbook.xml", "styles.xml", "sharedStrings.xml"])
    return _repacked(as_xlsx(rows), lambda name, part: laughs.encode() if name.endswith(where) else part)


def book_merged(chance: random.Random, rows: Rows) -> bytes:
    areas = [f"{chance.choice('ABC')}{top}:{chance.choice('DEF')}{top + chance.randint(0, 3)}" for top in (1, 5, 9)]
    data = as_xlsx(rows, *areas)
    wide = chance.choice([b"A1:XFD1048576", b"B2:B5000", b"A1:A1", b"ZZZ9:A1", b"A0:B0"])
    return _repacked(data, lambda name, part: part.replace(areas[0].encode(), wide)) if chance.random() < 0.5 else data


def book_of_odd_values(chance: random.Random, rows: Rows) -> bytes:
    odd = [-1.5, 0, 1e308, 2**63, True, date(1900, 1, 1), date(9999, 12, 31), datetime(2027, 5, 6, 23, 59, 59, 999999)]
    odd += [time(0, 0), timedelta(days=-3), timedelta(days=99_999), "=A1", "=1+1", "#DIV/0!", 45000.5, None]
    changed: list[list[Any]] = [list(row) for row in rows]
    for row in changed[1:]:
        row[chance.randrange(len(row))] = chance.choice(odd)
    return as_xlsx(changed)


def book_of_serial_days(chance: random.Random, rows: Rows) -> bytes:
    """Numbers that are written as days, beyond what a day can be."""
    wild = chance.choice([b"99999999", b"-5", b"1e300", b"60", b"0.5", b"2958466", b"nan"])
    dated: list[list[Any]] = [list(row) for row in rows]
    for row in dated[1:]:
        row[-1] = date(2027, 5, 6)
    return _repacked(as_xlsx(dated), lambda name, part: part.replace(b"<v>46513</v>", b"<v>" + wild + b"</v>"))


def book_of_several_sheets(chance: random.Random, rows: Rows) -> bytes:
    book = Workbook()
    for _ in range(chance.randint(1, 20)):
        sheet = book.create_sheet(f"s{chance.randint(0, 9)}")
        sheet.sheet_state = chance.choice(["visible", "hidden", "veryHidden"])
        for row in rows[: chance.randint(0, len(rows))]:
            sheet.append([writable(cell) for cell in row])
    if chance.random() < 0.3:
        book.create_chartsheet("drawn")
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def book_that_reaches_far(chance: random.Random, rows: Rows) -> bytes:
    book = Workbook()
    for row in rows:
        book.active.append([writable(cell) for cell in row])
    book.active[chance.choice(["A5000", "A5001", "A1048576", "CB1", "CC1", "XFD1", "XFD1048576"])] = "x"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def packed_folder_of_something_else(chance: random.Random, rows: Rows) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as folder:
        for number in range(chance.choice([0, 1, 3, 500])):
            folder.writestr(f"{chance.choice(['../' * 5, '/', 'xl/worksheets/', 'word/', ''])}{number}.xml", b"<x/>")
    return out.getvalue()
