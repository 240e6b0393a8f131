"""How every page is laid out is asked by test_links; what finds the faults is tried here, on made pages. And four pages
where the reader's own colours rule."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import Group, User
from django.test import Client

from tests.narrow import layout_faults, standing_alone
from tests.web.made_creek import BACKEND

pytestmark = [pytest.mark.django_db, pytest.mark.once]
Ui = Callable[[Callable[[Any], Any]], Any]


MADE = """<!doctype html><html lang="en"><title>Made</title><style>.of-2 {{ display: flex }} {style}</style>
<main><h1>Made</h1>{body}</main>"""


@pytest.mark.parametrize(
    ("style", "body", "found"),
    [
        ("", "<p>Words that wrap.</p>", []),
        ("p { width: 900px }", "<p>Wide.</p>", ["between: ", "narrow: 58"]),
        ("div { overflow: auto } p { width: 900px }", "<div><p>Wide in its own box.</p></div>", []),
        (
            "p { width: 200px; white-space: nowrap; overflow: hidden }",
            f"<p>{'words ' * 20}</p>",
            ["between: cut: <p>", "narrow: cut: <p>"],
        ),
        ("a { display: block; font-size: 9px }", "<a href='#a'>One</a><a href='#b'>Two</a>", ["desk: ", "desk: "]),
        ("", "<p>In words <a href='#a'>one</a> and <a href='#b'>two</a></p>", []),
        ("", "<table><tr><th>No name</th></tr></table>", ["desk: no name: <table>"]),
        ("", "<svg role='img'><title>A picture</title></svg><svg></svg>", ["desk: no name: <svg>"]),
    ],
    ids=["nothing", "wide", "scrolls inside", "cut", "small", "in a sentence", "table", "picture"],
)
def test_found(ui: Ui, style: str, body: str, found: list[str]) -> None:
    told = ui(lambda page: layout_faults(page, MADE.format(style=style, body=body)))
    assert [each[: len(words)] for each, words in zip(told, found, strict=True)] == found


CHOSEN = """() => [...document.querySelectorAll('[aria-current]')].filter(each => each.getClientRects().length)
  .filter(each => {
    const beside = [...each.closest('ul, nav, p, div').querySelectorAll('a')];
    const other = beside.find(one => !one.hasAttribute('aria-current'));
    const looks = one => [one, one.firstElementChild || one].map(part => getComputedStyle(part)).map(style =>
      [style.fontWeight, style.borderTopWidth, style.outlineStyle, style.textDecorationLine]).join();
    return other && looks(other) === looks(each);
  }).map(each => 'looks like any other: ' + each.outerHTML.slice(0, 120))"""
"""What is chosen, and differs from the others by its colours alone."""

GROUNDS = """() => {
  const sheet = document.createElement('i');
  sheet.style.cssText = 'forced-color-adjust: none; background: var(--sheet)';
  document.body.append(sheet);
  const ground = getComputedStyle(sheet).backgroundColor;
  return [...document.querySelectorAll('svg[role=img]')].filter(each => each.getClientRects().length
    && getComputedStyle(each).backgroundColor !== ground).map(each => 'another ground: ' + each.outerHTML.slice(0, 80));
}"""
"""Pictures whose letters are of their own colours and whose ground is the reader's."""


def test_where_the_readers_own_colours_rule(posted_in_january: int, ui: Ui) -> None:
    """In a dark palette of the reader's the crew's pictures stay light, and a choice is seen without colour."""
    client, planner = Client(), User.objects.create_user("walker", first_name="Walker")
    planner.groups.add(Group.objects.get(name="planner"))
    client.force_login(planner, BACKEND)

    def looked_at(page: Any, html: str) -> list[str]:
        page.emulate_media(forced_colors="active", color_scheme="dark")
        page.set_content(standing_alone(html), wait_until="domcontentloaded")
        found = page.evaluate(CHOSEN) + page.evaluate(GROUNDS)
        page.emulate_media(forced_colors="none", color_scheme="light")
        return found

    told = []
    for address in ("/", "/today/", "/boats/", "/tides/2027/1/"):
        html = client.get(address, follow=True).content.decode()
        told += ui(lambda page, html=html: looked_at(page, html))
    assert told == []
