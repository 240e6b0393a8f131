"""Days in sentences: in English as they were always written, in another language by its own names."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import get_args
from zoneinfo import ZoneInfo

from django.utils import translation

from yard.services import days_in_words
from yard.services.days_in_words import Form, in_words

STRFTIME = {"j": "%-d", "D": "%a", "M": "%b", "F": "%B", "Y": "%Y", "H": "%H", "i": "%M"}
"""The same parts in the letters of the C library, whose names are English in Python's own locale."""


def test_in_english_each_form_is_what_the_c_library_writes() -> None:
    first = datetime(2027, 1, 31, 7, 5, tzinfo=UTC)
    for form in get_args(Form):
        other = "".join(STRFTIME.get(letter, letter) for letter in form)
        for days in range(0, 400, 13):
            at = first + timedelta(days=days)
            assert in_words(at, form) == at.strftime(other)


def test_another_language_has_its_own_names() -> None:
    """German names from Django's own catalogue."""
    with translation.override("de"):
        assert in_words(date(2027, 5, 6), "D j F") == "Do 6 Mai"
        assert in_words(date(2027, 12, 7), "j M Y") == "7 Dez 2027"


def test_a_time_is_told_in_its_zone() -> None:
    at = datetime(2027, 5, 6, 11, 30, tzinfo=UTC).astimezone(ZoneInfo("America/New_York"))
    assert in_words(at, "D j M, H:i") == "Thu 6 May, 07:30"


def test_every_form_is_marked_for_the_catalogue() -> None:
    assert [str(form) for form in days_in_words.FOR_THE_CATALOGUE] == list(get_args(Form))
