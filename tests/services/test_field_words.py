"""A field without words of its own is called by its name, and the catalogue has each such name."""

from __future__ import annotations

import importlib
import pkgutil

from django.utils import translation

import yard.services
from yard.services.field_words import FOR_THE_CATALOGUE, english_words, plain_words
from yard.services.keeping import Keeper


def keepers() -> list[Keeper]:
    names = [module.name for module in pkgutil.iter_modules(yard.services.__path__, "yard.services.")]
    modules = [importlib.import_module(name) for name in names]
    return [each for module in modules for each in vars(module).values() if isinstance(each, Keeper)]


def test_the_catalogue_has_what_fields_are_called_and_no_more() -> None:
    found = keepers()
    assert len(found) > 20
    assert {english_words(key) for each in found for key in each.keys if key not in each.words} == FOR_THE_CATALOGUE


def test_a_field_is_called_without_its_unit_in_the_yards_language() -> None:
    """“Passwort” is from Django's own German catalogue."""
    assert [plain_words(key) for key in ("length_m", "displacement_kg", "laid_on", "sail_number")] == [
        "length",
        "displacement",
        "laid",
        "sail number",
    ]
    with translation.override("de"):
        assert plain_words("password") == "Passwort"
