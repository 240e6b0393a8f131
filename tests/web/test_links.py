"""The example yard walked through by its links, as a planner might: one page of each kind opens, no link leads nowhere,
and what it says goes through gettext, in a language of brackets (tests/web/unsaid.py).

It is also what asks the pages' queries of PostgreSQL, on rows as a yard has them.
"""

from __future__ import annotations

from functools import partial

import pytest
from django.contrib.auth.models import Group, User
from django.test import Client

from tests.narrow import layout_faults
from tests.web.made_creek import BACKEND
from tests.web.unsaid import (
    ALLOWED,
    CLOSES,
    OPENS,
    Opened,
    all_marked,
    allowed,
    commas,
    outside,
    stored_values,
    unsaid,
    walk,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def walked(posted_in_january) -> list[Opened]:
    """One page of each kind, opened once for all that is asked of them."""
    client, planner = Client(), User.objects.create_user("walker", first_name="Walker")
    planner.groups.add(Group.objects.get(name="planner"))
    client.force_login(planner, BACKEND)
    with all_marked():
        return list(walk(client))


def test_every_link_of_the_example_opens(walked):
    wrong = [f"{page.address}, from {page.found_on}: {page.status}" for page in walked if page.status != 200]
    assert wrong == []
    assert len(walked) > 80, sorted(str(page.name) for page in walked)


def test_what_pages_say_goes_through_gettext(walked):
    """As far as they do: the list of those that do not yet is in ALLOWED, and only shrinks."""
    values, most = stored_values(), allowed()
    said = {str(page.name): unsaid(page.text, values) for page in walked}
    more = {name: texts for name, texts in said.items() if len(texts) > most.get(name, 0)}
    assert more == {}, f"more than {ALLOWED.name} allows"


def test_no_number_that_a_browser_reads_has_a_comma(walked):
    assert {page.name: found for page in walked if (found := commas(page.text))} == {}


@pytest.mark.once
def test_every_page_fits_a_narrow_screen_and_has_names(walked, ui):
    """In English, the brackets taken out: see tests/narrow.py."""
    told = []
    for page in walked:
        html = page.text.replace(OPENS, "").replace(CLOSES, "")
        told += [f"{page.address}: {each}" for each in (ui(partial(layout_faults, html=html)) if html else ())]
    assert told == [], "\n".join(told)


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("⟦Save⟧", []),
        ("Save ⟦it⟧ now", ["Save", "now"]),
        ("⟦{boat} waits for ⟦the tide⟧⟧ 12 ft", ["12 ft"]),
        ("⟦Thu⟧ 6 ⟦May⟧", []),
    ],
)
def test_what_stands_outside_the_brackets_is_seen(text, left):
    assert outside(text) == left


def test_the_walk_would_see_what_is_not_said():
    html = (
        '<p title="Look here">⟦Said⟧ <b>Wren</b> 8,5 ft</p><input type="number" value="1,5">'
        "<button>Press</button><svg><title>⟦A picture⟧</title></svg>"
    )
    assert unsaid(html, frozenset({"Wren"})) == ["Look here", "Press"]
    assert commas(html) == ["<input name= value=1,5>"]
