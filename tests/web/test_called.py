"""How whoever has an account is named, also where nobody is on file any more."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.template import Context, Template

from yard.queries.accounts import called

TEMPLATES = Path(__file__).parents[2] / "templates"


@pytest.mark.parametrize(
    ("user", "name"),
    [
        (User(username="ada", first_name="Ada"), "Ada"),
        (User(username="ada"), "ada"),
        (None, ""),
    ],
)
def test_by_first_name_else_by_account(user, name):
    assert called(user) == name
    assert Template("{{ row.by|called }}").render(Context({"row": {"by": user}})) == name


def test_nobody_and_what_is_not_there_have_words():
    assert called(None, nobody="the yard") == "the yard"
    assert Template("{{ row.by|called|default:'–' }}").render(Context({"row": {}})) == "–"


def test_no_template_asks_nobody_for_a_name():
    """`{{ a.b.c|default:a.b.d }}` is an error page where a.b is None: the part after the colon must be there."""
    asked = {
        f"{path.relative_to(TEMPLATES)}: {found}"
        for path in TEMPLATES.rglob("*.html")
        for found in re.findall(r"[a-z_.]+\.first_name\|default:[a-z_.]+", path.read_text())
    }
    assert asked == set()
