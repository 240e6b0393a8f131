"""The example yard walked through by its links, as a planner might: one page of each kind opens, no link leads nowhere,
and what it says goes through gettext, in a language of brackets (tests/web/unsaid.py). So does what no link of the
planner's leads to (tests/web/aside_pages.py); refused forms are asked in test_refused_forms.py.

It is also what asks the pages' queries of PostgreSQL, on rows as a yard has them.
"""

from __future__ import annotations

from functools import partial

import pytest
from django.contrib.auth.models import Group, User
from django.test import Client

from tests.narrow import layout_faults
from tests.web.aside_pages import aside_pages
from tests.web.known_words import ALLOWED, Known, allowed, known_words
from tests.web.made_creek import BACKEND
from tests.web.unsaid import CLOSES, OPENS, Opened, all_marked, commas, outside, unsaid, walk

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def walked(posted_in_january) -> list[Opened]:
    """One page of each kind, opened once for all that is asked of them."""
    planner = User.objects.create_user("walker", first_name="Walker")
    planner.groups.add(Group.objects.get(name="planner"))
    with all_marked():
        client = Client()
        client.force_login(planner, BACKEND)
        return list(walk(client))


@pytest.fixture(scope="module")
def aside(walked) -> list[Opened]:
    with all_marked():
        return list(aside_pages())


@pytest.fixture(scope="module")
def known(walked, aside) -> Known:
    return known_words()


def test_every_link_of_the_example_opens(walked):
    wrong = [f"{page.address}, from {page.found_on}: {page.status}" for page in walked if page.status != 200]
    assert wrong == []
    assert len(walked) > 80, sorted(str(page.name) for page in walked)


def test_what_pages_say_goes_through_gettext(walked, aside, known):
    """Each text that may be past it has its reason in ALLOWED, and one that is no longer met goes from there."""
    past = [f"{page.name}: {text}" for page in (*walked, *aside) for text in unsaid(page, known)]
    assert past == [], "\n".join(past)
    listed = {(where, text) for where, texts in allowed().items() for text in texts}
    assert listed - known.used == set(), f"no page needs these of {ALLOWED.name}"


ANSWERS = {
    **{"403": 403, "403 of a form": 403, "404": 404, "405": 405, "500": 500, "503": 503, "503 of a disk": 503},
    **{"507": 507, "locked_out": 429, "feed unknown": 404, "owner_page withdrawn": 404, "owner_page too often": 429},
    **{"phone_tap refused": 302, "sign_in refused": 200, "change_password refused": 200},
}


def answers_of(name: str) -> set[int]:
    """What a page aside may answer; what an owner answers leads back to the page."""
    if name in ANSWERS:
        return {ANSWERS[name]}
    if " wrong, " in name:
        return {302, 422}
    return {302} if " answered, " in name else {422} if " refused" in name else {200}


def test_pages_aside_are_those_that_they_are_meant_to_be(aside):
    assert {page.name: page.status for page in aside if page.status not in answers_of(page.name)} == {}
    names = {page.name for page in aside}
    assert names >= set(ANSWERS)
    assert sum(" answered, " in name for name in names) > 12, "one of each kind of answer"
    assert sum(page.name.startswith("feed ") and "<p>" in page.text for page in aside) > 8


def test_no_number_that_a_browser_reads_has_a_comma(walked, aside):
    assert {page.name: found for page in (*walked, *aside) if (found := commas(page.text))} == {}


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
        "<button>Press</button><svg><title>⟦A picture⟧</title></svg><p>⟦For⟧ Wren twice</p>"
    )
    page = Opened("a_page", "/", "", 200, html)
    assert unsaid(page, Known(frozenset({"Wren"}))) == ["Look here", "Press", "Wren twice [twice]"]
    assert commas(html) == ["<input name= value=1,5>"]


def test_a_long_value_is_known_beside_other_words_and_where_it_is_cut():
    words = "once a year and before each use, as is common practice; the machine's own manual decides in all cases"
    known = Known(frozenset({words}))
    assert known.left_over(f": {words}. Look here", "a_page") == "Look here"
    assert known.left_over("once a year and before…", "a_page") == ""
    assert known.left_over("once a year and after…", "a_page") != ""
