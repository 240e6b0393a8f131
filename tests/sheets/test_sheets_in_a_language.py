"""What a sheet holds is alike in every language; what is said about it is not, and numbers read are typed back."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator

import pytest
from django.utils import translation
from openpyxl import load_workbook

from yard import speech
from yard.sheets.books import columns_of, title_of
from yard.sheets.columns import CellRefused
from yard.sheets.grid import Line
from yard.sheets.headings import Match, column_for
from yard.sheets.lists import LISTS
from yard.sheets.measures import measure
from yard.sheets.reading import WHAT, Names, Reading
from yard.sheets.writing import Table, in_words, write_book, write_csv, write_template

SAID = re.compile(r"⟦.*⟧", re.DOTALL)


@pytest.fixture
def brackets() -> Iterator[None]:
    """A language in which each sentence stands in brackets, its decimal sign a point."""
    before = vars(speech._voice).copy()
    speech.speak_by(
        lambda message: f"⟦{message}⟧",
        lambda one, many, number: f"⟦{one if number == 1 else many}⟧",
        lambda context, message: f"⟦{message}⟧",
        lambda value, digits: f"{value:.{digits}f}",
    )
    yield
    vars(speech._voice).update(before)


@pytest.mark.parametrize("name", LISTS)
def test_headings_and_words_of_cells_are_alike_in_every_language(name: str, brackets: None) -> None:
    of = LISTS[name]
    row = {column.key: next(iter(column.choices)) for column in of.columns if column.choices} | {"archived": True}
    written = write_csv(Table(of.english_title, of.columns, (row,), feet=True)).decode("utf-8-sig")
    assert "⟦" not in written
    assert [column_for(heading, of.columns) for heading in next(csv.reader(io.StringIO(written)))] == list(of.columns)


def test_what_is_wrong_and_the_remedy_are_said_whole(brackets: None) -> None:
    """Each kind of cell with what it cannot be; nothing of the sentence stands outside the brackets."""
    boats, people = LISTS["boats"], LISTS["people"]
    wrong = {
        "length_m": "long",
        "beam_m": "9",
        "draft_m": "200 ft",
        "kind": "raft",
        "ref": "a b",
        "displacement_kg": "#N/A",
    }
    wrong_people = {
        "hours": "Noday 7-8",
        "skills": "juggler",
        "licences": "x",
        "contractor": "perhaps",
        "starts": "may",
    }
    known = {"skills": Names(), "owners": Names(), "moorings": Names()}
    for of, cells in ((boats, wrong), (people, wrong_people)):
        keys = [key for key in cells if any(column.key == key for column in of.columns)]
        matches = tuple(Match(at, key, key, sure=True) for at, key in enumerate(keys))
        [row] = Reading(of, matches, known).rows([Line(2, tuple(cells[key] for key in keys))])
        assert [fault.heading for fault in row.faults] == keys
        for fault in row.faults:
            assert SAID.fullmatch(fault.wrong), fault
            assert SAID.fullmatch(fault.remedy), fault


def test_a_name_that_is_not_on_file_is_said_with_its_own_plural(brackets: None) -> None:
    with pytest.raises(CellRefused) as refused:
        Names().find("Mouse", WHAT["packages"])
    assert refused.value.wrong == "⟦there is no ⟦work package⟧ “Mouse” on file⟧"
    assert refused.value.remedy == "⟦bring ⟦work packages⟧ in first, or correct the name⟧"


def test_a_template_explains_itself_in_the_yards_language_over_the_files_own_headings(brackets: None) -> None:
    of = LISTS["boats"]
    sheet, about = load_workbook(io.BytesIO(write_template(of.english_title, of.columns))).worksheets
    assert not any("⟦" in str(cell.value) for cell in sheet[1])
    assert all(SAID.fullmatch(str(cell.value)) for cell in about[1])
    told = {row[0].value: str(row[2].value or "") for row in about.iter_rows(min_row=2)}
    assert told["ref"] == "⟦your own short name for her; empty: made from her name⟧"


def test_the_bookkeepers_sheets_never_come_in_again_and_are_in_the_yards_language(brackets: None) -> None:
    columns = columns_of("hours")
    assert [column.heading for column in columns][:2] == ["⟦day⟧", "⟦boat⟧"]
    [sheet] = load_workbook(io.BytesIO(write_book([Table(title_of("hours"), columns, (), feet=False)]))).worksheets
    assert sheet.title == "⟦Hours⟧"


def test_a_title_that_no_spreadsheet_program_takes_is_made_one() -> None:
    titles = ["Zusatzarbeiten: vereinbart/abgerechnet", "a" * 40]
    book = load_workbook(io.BytesIO(write_book([Table(title, (), (), feet=False) for title in titles])))
    assert book.sheetnames == ["Zusatzarbeiten  vereinbart abge", "a" * 31]


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [("displacement_kg", 4690.4, "4690 kg"), ("displacement_kg", 40.5, "40,5 kg"), ("length_m", 8.713, "8,71 m")],
)
def test_in_german_a_measure_has_a_comma_and_typed_again_means_the_same(key: str, value: float, words: str) -> None:
    """4.690 kg would be read back as under five: no sign parts the thousands there (DIN 1333 has a comma for tenths)."""
    column = LISTS["boats"].column(key)
    with translation.override("de"):
        assert in_words(column, value, feet=False) == words
    assert measure(words, column, "") == pytest.approx(value, abs=0.5)
