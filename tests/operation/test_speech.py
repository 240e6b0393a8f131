"""The rooms without Django speak by the catalogues of the web's side, and alone in English."""

from __future__ import annotations

import subprocess
import sys

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.utils import translation
from django.utils.translation import trans_real

from yard import environment, speech
from yard.apps import remember_what_was_said


def test_numbers_have_the_languages_own_decimal_sign() -> None:
    """German writes a comma: DIN 1333, as in Django's own formats; a float is rounded and not cut off."""
    assert speech.number(2.96, 1) == "3.0"
    with translation.override("de"):
        assert speech.number(2.96, 1) == "3,0"
        assert speech.number(-0.25, 2) == "-0,25"


def test_a_short_number_has_the_digits_that_it_needs() -> None:
    """As the C library's %g writes it."""
    assert [speech.short_number(value) for value in (22.0, 4.5, 0.25, 120.0)] == ["22", "4.5", "0.25", "120"]
    with translation.override("de"):
        assert [speech.short_number(value) for value in (22.0, 4.5)] == ["22", "4,5"]


def test_words_are_looked_up_in_the_catalogues() -> None:
    """Django's own German catalogue knows these."""
    with translation.override("de"):
        assert speech._("Thursday") == "Donnerstag"
        assert speech.pgettext("abbrev. month", "May") == "Mai"
        assert speech.ngettext("%(num)d day", "%(num)d days", 2) == "%(num)d Tage"
    assert speech._("Thursday") == "Thursday"


def test_a_sentence_is_looked_up_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """And anew in catalogues that are read anew, as by a process that starts."""
    monkeypatch.setattr(trans_real, "_translations", {})  # a test before this one may have spoken another language
    remember_what_was_said()
    spoken = trans_real.translation("en")
    asked: list[str] = []
    looked_up = spoken._catalog.get
    monkeypatch.setattr(spoken._catalog, "get", lambda key, *rest: asked.append(key) or looked_up(key, *rest))
    with translation.override("en"):
        said = [translation.gettext("She dries out at half ebb.") for _ in range(3)]
    assert said == ["She dries out at half ebb."] * 3
    assert asked.count("She dries out at half ebb.") == 1
    monkeypatch.setattr(trans_real, "_translations", {})
    assert trans_real.translation("en") is not spoken


def test_alone_a_room_speaks_english() -> None:
    alone = "from yard.speech import _, ngettext, number; print(_('Aloft'), ngettext('boat', 'boats', 2), number(3, 1))"
    said = subprocess.run([sys.executable, "-c", alone], capture_output=True, text=True, check=True)
    assert said.stdout.split() == ["Aloft", "boats", "3.0"]


def test_a_language_that_is_none_is_refused_in_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("YARD_LANGUAGE", "de")
    assert environment.language("YARD_LANGUAGE", "en") == "de"
    monkeypatch.setenv("YARD_LANGUAGE", "english")
    with pytest.raises(ImproperlyConfigured, match="YARD_LANGUAGE is 'english': say a language by its short name"):
        environment.language("YARD_LANGUAGE", "en")
