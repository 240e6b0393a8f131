"""A form that is refused says so where a person is: at the first field, in words that the field is linked to, and that
go through gettext (in the language of brackets of tests/web/unsaid.py)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.db import transaction
from django.test import Client

from tests.web.form_reading import Form, PageForms, filled_wrongly
from tests.web.forms_yard import forms_yard
from tests.web.known_words import known_words
from tests.web.made_creek import BACKEND
from tests.web.unsaid import Opened, all_marked, unsaid


@pytest.fixture
def pages(packages: None, cast: Any, tmp_path: Any, monkeypatch: pytest.MonkeyPatch) -> dict[str, str]:
    monkeypatch.chdir(tmp_path)
    return forms_yard(tmp_path, lambda: None)


TAKEN = {"action", "attributes", "children", "classList", "closest", "contains", "dataset", "elements", "getAttribute",
         "hasAttribute", "id", "isConnected", "length", "matches", "method", "nodeType", "parentElement", "parentNode",
         "querySelector", "querySelectorAll", "reset", "setAttribute", "submit", "tagName", "target"}  # fmt: skip
"""What scripts ask of a form: a field of such a name would answer in its place (HTML Standard, 4.10.3, form[name])."""


def faults_of(page: PageForms) -> list[str]:
    """What a person with a keyboard or a screen reader would miss on a page that came back."""
    told = []
    invalid = [each for each in page.fields if each.invalid]
    linked = {name for each in page.fields for name in each.described}
    if not invalid and not any(each.get("tabindex") == "-1" for each in page.alerts):
        told.append("no field is marked and no summary can take the focus")
    for each in invalid:
        words = [page.texts.get(name, "").strip() for name in each.described]
        if not any(words) or not all(words):
            told.append(f"{each.name}: marked as wrong, and linked to {each.described} with {words}")
        if each.folded:
            told.append(f"{each.name}: wrong, and folded away")
    told += [f"{name}: an error that no field is linked to" for name in page.texts if _orphan(name, linked)]
    return told


def _orphan(name: str, linked: set[str]) -> bool:
    return name.endswith("_error") and name not in linked


def lost(sent: dict[str, list[str]], page: PageForms) -> list[str]:
    """Fields in which x was typed and which came back without it."""
    kept = {(each.name, each.value) for each in page.fields}
    return [f"{name}: what was typed is lost" for name, values in sent.items() if values == ["x"]
            and (name, "x") not in kept]  # fmt: skip


def press(client: Client, address: str, form: Form) -> tuple[Any, dict[str, list[str]]]:
    """The answer to a form that was filled wrongly; what it wrote is rolled back."""
    sent = filled_wrongly(form)
    with transaction.atomic():
        answer = client.post(form.attrs.get("action") or address, sent)
        transaction.set_rollback(True)
    return answer, sent


@pytest.fixture
def brackets() -> Iterator[None]:
    with all_marked():
        yield


def test_every_refused_form_says_so_where_a_person_is(client, cast, pages, brackets):
    client.force_login(cast.ada, BACKEND)
    told, refused, shown_pages = [], set(), []
    for name, address in pages.items():
        answer = client.get(address)
        assert answer.status_code == 200, (name, answer.status_code)
        shown_pages.append(Opened(name, address, "", 200, answer.content.decode()))
        shown = PageForms(answer.content.decode().partition("<main")[2])
        told += [f"{name} {each.name}: linked to {each.described}, of which not all is there" for each in shown.fields
                 if not set(each.described) <= set(shown.texts)]  # fmt: skip
        told += [f"{name}: {each} has no label" for each in shown.unlabelled()]
        told += [f"{name}: a field called {each.name}" for each in shown.fields if each.name in TAKEN]
        for form in shown.forms:
            if not form.posts or not any(each.kind not in ("hidden", "submit", "button") for each in form.fields):
                continue
            answer, sent = press(client, address, form)
            assert answer.status_code < 500, (name, form.attrs)
            if answer.status_code in (301, 302):
                continue
            refused.add(name)
            shown_pages.append(Opened(f"{name} refused", address, "", answer.status_code, answer.content.decode()))
            page = PageForms(answer.content.decode().partition("<main")[2])
            told += [f"{name} {form.attrs.get('action', '')}: {each}" for each in faults_of(page) + lost(sent, page)]
    assert len(refused) > 40  # the rest have no form, or none that can be filled wrongly
    assert told == [], "\n".join(told)
    known = known_words()
    past = [f"{page.name}: {text}" for page in shown_pages for text in unsaid(page, known)]
    assert past == [], "\n".join(past)
