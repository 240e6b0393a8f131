"""Sheets as they should not be: of each list, damaged in one of some forty ways, the same for the same number."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from typing import NamedTuple

from tests.soak.bad_books import (
    book_bomb,
    book_bytes_changed,
    book_cut_short,
    book_laughs,
    book_merged,
    book_of_odd_values,
    book_of_serial_days,
    book_of_several_sheets,
    book_part_missing,
    book_part_spoilt,
    book_that_reaches_far,
    packed_folder_of_something_else,
)
from tests.soak.wild import CELLS, DAYS, Rows, as_csv, either


class BadSheet(NamedTuple):
    """damage: what was done to it, for whoever reads that it went wrong."""

    damage: str
    file_name: str
    data: bytes


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


# --- what stands in the cells ---


def _one_wild_cell(chance: random.Random, rows: Rows) -> bytes:
    row = chance.choice(rows[1:])
    row[chance.randrange(len(row))] = chance.choice(CELLS)
    return either(chance, rows)


def _many_wild_cells(chance: random.Random, rows: Rows) -> bytes:
    for row in rows[1:]:
        for at in range(len(row)):
            if chance.random() < 0.3:
                row[at] = chance.choice(CELLS)
    return either(chance, rows)


def _new_rows_with_a_wild_cell(chance: random.Random, rows: Rows) -> bytes:
    for number, row in enumerate(rows[1:]):
        row[0] = f"new-{number}"
    return _one_wild_cell(chance, rows)


def _one_column_wild(chance: random.Random, rows: Rows) -> bytes:
    at = chance.randrange(len(rows[0]))
    for row in rows[1:]:
        row[at] = chance.choice(CELLS)
    return either(chance, rows)


def _days_of_other_places(chance: random.Random, rows: Rows) -> bytes:
    days = [
        at for at, heading in enumerate(rows[0]) if any(word in heading for word in ("date", "since", "until", "on"))
    ]
    for row in rows[1:]:
        for at in days or [chance.randrange(len(row))]:
            row[at] = chance.choice(DAYS)
    return either(chance, rows)


def _another_columns_values(chance: random.Random, rows: Rows) -> bytes:
    one, two = chance.sample(range(len(rows[0])), 2)
    for row in rows[1:]:
        row[one], row[two] = row[two], row[one]
    return either(chance, rows)


# --- which rows and columns there are ---


def _the_same_rows_twice(chance: random.Random, rows: Rows) -> bytes:
    again = [list(row) for row in rows[1:]]
    for row in again:
        row[0] = chance.choice([row[0], row[0].upper(), f" {row[0]} ", f"{row[0]}\u00a0", ""])
    return either(chance, [*rows, *again])


def _headings_shuffled(chance: random.Random, rows: Rows) -> bytes:
    chance.shuffle(rows[0])
    return either(chance, rows)


def _headings_twice(chance: random.Random, rows: Rows) -> bytes:
    one, two = chance.sample(range(len(rows[0])), 2)
    rows[0][one] = rows[0][two]
    return either(chance, rows)


def _headings_wild(chance: random.Random, rows: Rows) -> bytes:
    for at in chance.sample(range(len(rows[0])), len(rows[0]) // 2):
        rows[0][at] = chance.choice(CELLS)
    return either(chance, rows)


def _no_headings(chance: random.Random, rows: Rows) -> bytes:
    return either(chance, rows[1:])


def _headings_alone(chance: random.Random, rows: Rows) -> bytes:
    return either(chance, rows[:1] * chance.randint(1, 3))


def _headings_further_down(chance: random.Random, rows: Rows) -> bytes:
    above = [[chance.choice(CELLS)] * chance.randint(0, 4) for _ in range(chance.randint(1, 30))]
    return either(chance, [*above, *rows])


def _columns_missing(chance: random.Random, rows: Rows) -> bytes:
    kept = sorted(chance.sample(range(len(rows[0])), chance.randint(1, len(rows[0]) - 1)))
    return either(chance, [[row[at] for at in kept] for row in rows])


def _columns_too_many(chance: random.Random, rows: Rows) -> bytes:
    more = chance.choice([5, 60, 80, 200])
    return either(chance, [row + [f"more {at}" for at in range(more)] for row in rows])


def _lines_of_all_lengths(chance: random.Random, rows: Rows) -> bytes:
    return either(
        chance, [rows[0], *[row[: chance.randint(0, len(row))] + ["x"] * chance.randint(0, 3) for row in rows[1:]]]
    )


def _titles_between(chance: random.Random, rows: Rows) -> bytes:
    for _ in range(4):
        rows.insert(
            chance.randint(1, len(rows)), chance.choice([["Motor boats"], [], ["", "", "x"], ["-" * 40], rows[0]])
        )
    return either(chance, rows)


def _far_too_many_lines(chance: random.Random, rows: Rows) -> bytes:
    return as_csv(rows[:1] + [rows[1]] * chance.choice([4_999, 5_001, 21_000]))


def _turned_on_its_side(chance: random.Random, rows: Rows) -> bytes:
    return either(chance, [list(column) for column in zip(*rows, strict=True)])


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


DAMAGES: list[Callable[[random.Random, Rows], bytes]] = [
    _one_wild_cell,
    book_bytes_changed,
    _new_rows_with_a_wild_cell,
    book_part_spoilt,
    _many_wild_cells,
    _letters_of_another_kind,
    _the_same_rows_twice,
    _quotation_marks,
    _one_column_wild,
    book_of_odd_values,
    _days_of_other_places,
    _letters_cut_or_spoilt,
    _another_columns_values,
    book_merged,
    _headings_shuffled,
    _separators,
    _headings_twice,
    book_cut_short,
    _headings_wild,
    _ends_of_lines,
    _no_headings,
    book_laughs,
    _headings_alone,
    _no_sheet_at_all,
    _headings_further_down,
    book_of_several_sheets,
    _columns_missing,
    book_part_missing,
    _columns_too_many,
    book_of_serial_days,
    _lines_of_all_lengths,
    _a_separator_alone,
    _titles_between,
    packed_folder_of_something_else,
    _turned_on_its_side,
    book_that_reaches_far,
]
DEAR_DAMAGES = [_far_too_many_lines, _larger_than_is_let_in, book_bomb]
"""A second or more each: one sheet in fifty of a long trial, and none of the tests'."""


def dear_sheet(number: int, headings: Sequence[str], body: Sequence[Sequence[str]]) -> BadSheet:
    chance = random.Random(number)
    damage = DEAR_DAMAGES[number % len(DEAR_DAMAGES)]
    return BadSheet(damage.__name__.strip("_"), "list.csv", damage(chance, [list(headings), *map(list, body)]))
