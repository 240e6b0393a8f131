"""Fields of kept rows are called by words of the catalogues, also where Django would make a label of its own."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator
from datetime import date

import pytest

import yard.services
import yard.urls  # every form
from yard.models import YardSettings
from yard.services import field_names
from yard.services.field_names import NAMES, bare_name
from yard.services.keeping import Keeper
from yard.web.canvas.forms import SupplierForm
from yard.web.keeping.form import RowForm


def _forms(of: type[RowForm] = RowForm) -> Iterator[type[RowForm]]:
    for form in of.__subclasses__():
        yield form
        yield from _forms(form)


FORMS = [form for form in _forms() if hasattr(form, "keeper")]


def test_a_name_is_the_fields_own_without_its_unit():
    assert {key: bare_name(key) for key in NAMES} == NAMES


@pytest.mark.parametrize("form", FORMS, ids=lambda form: f"{form.__module__.rpartition('.')[2]}-{form.__name__}")
def test_every_field_is_named(form):
    labelled = set(form._meta.labels or ())
    assert set(form._meta.fields or ()) - labelled - set(NAMES) == set()
    assert set(form.keeper.keys) - set(form.keeper.words) - set(NAMES) == set()


def keepers() -> list[Keeper]:
    names = [module.name for module in pkgutil.iter_modules(yard.services.__path__, "yard.services.")]
    modules = [importlib.import_module(name) for name in names]
    return [each for module in modules for each in vars(module).values() if isinstance(each, Keeper)]


def test_every_field_that_is_kept_is_named() -> None:
    found = keepers()
    assert len(found) > 20
    assert {key for each in found for key in each.keys if key not in each.words} - set(NAMES) == set()


def test_a_form_looks_its_labels_up(monkeypatch):
    monkeypatch.setattr(field_names, "_", lambda words: f"<{words}>")
    form = SupplierForm(yard=YardSettings(), today=date(2027, 5, 6))
    assert [form.fields[key].label for key in ("notes", "reached_by")] == ["<notes>", "<reached by>"]
