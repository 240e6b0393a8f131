"""What is shown in the yard's language can be typed again as it stands; what scripts read has a form of its own."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse
from django.utils import translation

from tests.web.made_creek import THURSDAY, job, person, post
from tests.web.tallow_creek import signed_in
from yard.web.boats.words import figure, ordinal
from yard.web.canvas.forms import OptionForm
from yard.web.canvas.tape import needed_words, tape_mm
from yard.web.days import day_sheet
from yard.web.packages.hours import minutes_typed


@pytest.fixture
def german():
    """Django's own catalogue has its decimal comma."""
    with translation.override("de"):
        yield


def test_figures_have_the_languages_decimal_sign_and_no_digit_more_than_they_need(german):
    assert [figure(each) for each in (12, 12.0, 12.5, 0.25)] == ["12", "12", "12,5", "0,25"]


def test_a_length_of_cloth_is_read_as_it_is_shown(german):
    shown = needed_words(3930, foam=False, inches=False)
    assert shown == "3,93 m"
    assert tape_mm(shown, inches=False) == 3930


def test_hours_are_read_as_a_form_shows_them(german):
    shown = OptionForm.says["extra_min"](90)
    assert shown == "1,5 h"
    assert minutes_typed(shown) == 90


def test_english_ordinals():
    assert [ordinal(n) for n in (1, 2, 3, 4, 11, 12, 13, 21, 102, 112)] == [
        *("1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "102nd", "112th"),
    ]


@pytest.mark.django_db
def test_a_script_reads_when_a_job_starts_on_a_clock_of_24_hours(cast, creek, monkeypatch):
    """yard/static/yard/drag.js splits it at the colon."""
    job(post(), "Dunlin", "Tune", THURSDAY, "10:30", "12:00", person("Cal"))
    monkeypatch.setattr(day_sheet, "said", lambda moment, form: "half past ten")
    page = signed_in(cast.ada).get(reverse("day", args=[THURSDAY.isoformat()])).content.decode()
    assert "half past ten" in page
    assert re.findall(r'data-starts="([^"]*)"', page) == ["10:30"]
