"""Five hundred damaged sheets: each is refused with words or shown with its faults, and nothing is half saved."""

from __future__ import annotations

import csv
import io
import random
import zipfile

import pytest
from openpyxl import load_workbook

from tests.sheets.sheet_samples import csv_of, make_yard, xlsx_of
from yard.models import Boat, SheetImport
from yard.sheets.grid import LARGEST_FILE_BYTES, SheetRefused
from yard.sheets.read_file import read_sheets

pytestmark = pytest.mark.django_db

ROWS = [["ref", "name", "length (ft)", "beam (ft)", "draft", "kind", "planked", "notes"]] + [
    [f"b-{n}", f"Boat {n}", 20 + n, 8, "4'6\"", "sail", "no", "fine"] for n in range(8)
]
ODD_CELLS = [
    "",
    "1e999",
    "9" * 60,
    "-5",
    "NaN",
    "inf",
    "=1/0",
    "#REF!",
    "28'99\"",
    "2027-13-45",
    "\x00",
    "😀" * 50,
    "x" * 5000,
    "'",
    '"',
    "1/0 ft",
    "٣ ft",
    "0",
    "true",
    "\ufeff",
    "a\nb",
    "²",
    "1²",
    "5'²\"",
]


def damaged(number: int) -> bytes:
    """The nth damaged sheet; every kind of damage comes up fifty times."""
    rng = random.Random(number)
    rows = [list(row) for row in ROWS]
    match number % 10:
        case 0:  # cut short
            data = xlsx_of(rows)
            return data[: rng.randint(0, len(data) - 1)]
        case 1:  # bytes changed
            data = bytearray(xlsx_of(rows))
            for _ in range(rng.randint(1, 60)):
                data[rng.randrange(len(data))] = rng.randrange(256)
            return bytes(data)
        case 2:  # wrong types and wild values
            for _ in range(10):
                rows[rng.randint(1, 8)][rng.randint(0, 7)] = rng.choice(ODD_CELLS)
            return csv_of(*rows)
        case 3:  # odd letters
            encoding = rng.choice(["utf-16", "cp1252", "utf-32", "utf-8-sig", "cp037", "shift_jis"])
            text = csv_of(*rows).decode().replace("fine", rng.choice(["Zoë", "café", "naïve"]))
            return text.encode(encoding, errors="replace")
        case 4:  # merged at random
            areas = {f"{a}{rng.randint(1, 4)}:{b}{rng.randint(5, 9)}" for a, b in [("A", "B"), ("D", "D"), ("F", "H")]}
            return xlsx_of(rows, *areas)
        case 5:  # blank lines, refs twice, headings twice
            for _ in range(5):
                rows.insert(rng.randint(0, len(rows)), rng.choice([[], rows[1], ROWS[0], ["Motor boats"]]))
            return csv_of(*rows)
        case 6:  # cut and changed text
            data = bytearray(csv_of(*rows))
            for _ in range(rng.randint(1, 40)):
                data[rng.randrange(len(data))] = rng.randrange(256)
            return bytes(data[: rng.randint(1, len(data))])
        case 7:  # columns in disorder, lines of many lengths
            order = rng.sample(range(8), 8)
            return csv_of(*[[row[at] for at in order][: rng.randint(1, 8)] for row in rows])
        case 8:  # a part of the packed folder gone, or another's words in it
            return _repacked(xlsx_of(rows), rng)
        case _:  # no sheet at all
            return rng.randbytes(rng.randint(0, 3000))


def _repacked(data: bytes, rng: random.Random) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        spoilt = rng.choice(old.namelist())
        for name in old.namelist():
            if name != spoilt:
                new.writestr(name, old.read(name))
            elif rng.random() < 0.6:
                text = bytearray(old.read(name))
                at = rng.randrange(len(text))
                text[at : at + rng.randint(1, 30)] = rng.choice([b"", b"<x>", b"&bomb;", b"\xff\xfe", b"A99999999"])
                new.writestr(name, bytes(text))
    return out.getvalue()


@pytest.mark.parametrize("first", [0, *(pytest.param(at, marks=pytest.mark.once) for at in range(50, 500, 50))])
def test_no_damage_fails_the_page_or_half_saves(cast, client, first):
    from django.core.files.uploadedfile import SimpleUploadedFile

    make_yard()
    client.force_login(cast.cy, "yard.web.access.RoleBackend")
    before = list(Boat.objects.order_by("pk").values())
    outcomes = set()
    for number in range(first, first + 50):
        file = SimpleUploadedFile("list.xlsx", damaged(number))
        answer = client.post("/lists/boats/import/", {"file": file})
        assert answer.status_code in (302, 422), number
        if answer.status_code == 422:
            outcomes.add("refused")
            assert "errorlist" in answer.content.decode() or 'role="alert"' in answer.content.decode(), number
            continue
        sent = SheetImport.objects.latest("pk")
        if number % 4 == 0:  # the one page of the two that hardly depends on the damage
            assert client.get(f"/lists/sent/{sent.pk}/columns/").status_code == 200, number
        shown = client.get(f"/lists/sent/{sent.pk}/?show=all")
        assert shown.status_code == 200, number
        wrong = shown.context["page"].counts.wrong
        outcomes.add("wrong" if wrong else "clean")
        if wrong:
            client.post(f"/lists/sent/{sent.pk}/save/", {"fingerprint": shown.context["page"].preview.fingerprint})
            assert SheetImport.objects.get(pk=sent.pk).state == "sent", number
        assert list(Boat.objects.order_by("pk").values()) == before, number
    assert outcomes >= {"refused", "wrong"}


def test_a_folder_that_unpacks_to_far_too_much_is_refused():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as bomb:
        bomb.writestr("xl/worksheets/sheet1.xml", b"0" * 60_000_000)
    assert len(out.getvalue()) < 100_000
    with pytest.raises(SheetRefused, match="unpacks to far more"):
        read_sheets(out.getvalue(), "a.xlsx")


def test_entities_that_multiply_are_refused():
    """A billion laughs: XML entities that each stand for many of the one before."""
    data = xlsx_of(ROWS)
    laughs = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]><worksheet>&b;</worksheet>'
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            new.writestr(name, laughs if name.endswith("sheet1.xml") else old.read(name))
    with pytest.raises(SheetRefused, match="damaged"):
        read_sheets(out.getvalue(), "a.xlsx")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"a" * (LARGEST_FILE_BYTES + 1), "larger than 5 MB"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, "old XLS file"),
        (b"", "nothing in this file"),
        (b",,,\n,,\n", "nothing in this file"),
        (b'name,length\n"Wren,28', "quotation mark"),
        (b"name\n" + b"a\n" * 5001, "More than 5000 lines"),
        (b"," * 99 + b"a\n", "100 columns"),
        (b"%PDF-1.7\x00\x01", "neither a text file"),
    ],
    ids=["large", "old", "empty", "blank", "quotation", "long", "wide", "pdf"],
)
def test_what_is_no_sheet_is_refused_with_words(data, words):
    with pytest.raises(SheetRefused, match=words):
        read_sheets(data, "a.csv")


def test_a_sheet_that_reaches_far_down_is_refused():
    book = load_workbook(io.BytesIO(xlsx_of(ROWS)))
    book.active["A900000"] = "x"
    out = io.BytesIO()
    book.save(out)
    with pytest.raises(SheetRefused, match="reaches down to line 900000"):
        read_sheets(out.getvalue(), "a.xlsx")


def test_cells_merged_over_everything_are_refused():
    data = xlsx_of(ROWS, "A2:B3")
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            new.writestr(name, old.read(name).replace(b"A2:B3", b"A2:XFD1048576"))
    with pytest.raises(SheetRefused, match="merged over far more"):
        read_sheets(out.getvalue(), "a.xlsx")


def test_a_formula_counts_at_its_stored_value_and_without_one_is_named():
    from tests.sheets.sheet_samples import faults, send

    make_yard()
    data = xlsx_of([["ref", "draft (m)"], ["wren", "=1+0.2"]])
    assert faults(send("boats", data))[0][2:] == (
        "this formula has no value stored",
        "open the sheet, let it calculate, and save it again",
    )


@pytest.mark.parametrize("separator", [";", "\t", "|", ","])
def test_separators_are_told(separator):
    out = io.StringIO()
    csv.writer(out, delimiter=separator).writerows(ROWS)
    [sheet] = read_sheets(out.getvalue().encode(), "a.csv")
    assert len(sheet.lines[0].cells) == 8
