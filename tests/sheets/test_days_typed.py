"""Months and days of the week typed in the yard's language, by the names of Django's own catalogues (CLDR has the same
for German: Januar, Feb., März, Do.)."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.utils import translation

from yard.day_names import put
from yard.sheets.columns import CellRefused
from yard.sheets.dates import day
from yard.sheets.hours import week, week_in_words
from yard.web.orders.form import DayField


@pytest.fixture
def german() -> Iterator[None]:
    with translation.override("de"):
        yield


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("14. Mai 2027", "2027-05-14"),
        ("Donnerstag, 6. Mai 2027", "2027-05-06"),
        ("Do. 11. März 2027", "2027-03-11"),
        ("11 MÄRZ 27", "2027-03-11"),
        ("11 Ma\u0308rz 2027", "2027-03-11"),
        ("3. Okt. 2027", "2027-10-03"),
        ("31 Dez 2027", "2027-12-31"),
        ("1. Sept. 2027", "2027-09-01"),
        ("14 May 2027", "2027-05-14"),
        ("October 3, 2027", "2027-10-03"),
    ],
)
def test_german_and_english_months_are_read_alike_in_sheets_and_forms(german: None, typed: str, read: str) -> None:
    assert day(typed, order="") == read
    assert str(DayField("Wanted").clean(typed)) == read


@pytest.mark.parametrize("language", ["de", "fr", "es", "pl", "cs", "fi", "sv", "it", "nl", "pt", "tr", "el", "ru"])
def test_what_a_page_says_is_read_back(language: str) -> None:
    with translation.override(language):
        for month in range(1, 13):
            said = date(2027, month, 6)
            assert [day(put(said, form), order="") for form in ("j F Y", "j E Y")] == [said.isoformat()] * 2


def test_a_name_of_two_months_is_refused_and_never_guessed() -> None:
    with translation.override("fi"):
        with pytest.raises(CellRefused, match="maaliskuu or marraskuu: write it as 2027-05-06"):
            day("6 mar 2027", order="")
        with pytest.raises(CellRefused, match="may be"):
            day("6 marraskuun 2027", order="")
        with pytest.raises(ValidationError):
            DayField("Wanted").clean("6 mar 2027")
        assert day("6 March 2027", order="") == "2027-03-06"


@pytest.mark.parametrize("typed", ["14 Mai 2027", "31 Dez 2027", "3 Okt 2027"])
def test_a_yard_that_speaks_english_knows_no_german_months(typed: str) -> None:
    with translation.override("en"), pytest.raises(CellRefused):
        day(typed, order="")


def test_days_of_the_week_are_read_in_german_and_written_alike(german: None) -> None:
    read = week("Mo-Mi 07:00-15:30; Donnerstag, Sa 08:00-12:00")
    assert read == tuple(
        [f"{weekday} 07:00 15:30" for weekday in range(3)] + [f"{weekday} 08:00 12:00" for weekday in (3, 5)]
    )
    assert week(week_in_words(read)) == read
    assert week("So 08:00-12:00") == week("Sun 08:00-12:00")
    with pytest.raises(CellRefused, match="not a day"):
        week("Mop 08:00-12:00")
