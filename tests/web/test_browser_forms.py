"""The pages that no other browser test opens, most of them forms: axe, and every field by keyboard, in reading order.

Each is loaded once. Which pages are looked at is read off the tests themselves: a new page in none of them fails.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.test import Client
from django.urls import Resolver404, get_resolver, resolve
from playwright.sync_api import expect

from tests.looks import DESK, PHONE, faults_of_main, too_wide
from tests.services.ordering import JANUARY
from tests.services.package_walk import FOLDER
from tests.web import forms_yard as addresses
from tests.web.forms_yard import forms_yard
from yard.models import Boat, YardSettings
from yard.services.packages import load_packages

TESTS = Path(__file__).resolve().parents[1]
NO_PAGE = {
    "healthz": "for machines",
    "phone_worker": "a script",
    "words": "a script",
    "feed": "a calendar",
    "feed_event": "a calendar",
    "job_events": "a calendar",
    "list_template": "a sheet",
    "list_export": "a sheet",
    "books_xlsx": "a sheet",
    "books_csv": "a sheet",
    "photograph": "a picture",
    "photograph_small": "a picture",
    "season_run": "a part of the season board",
    "order_work": "a part of the order form",
    "when_ready": "a part of the page of when",
    "day_today": "the page of a day",
    "runs_today": "the page of a day of runs",
    "launches_from": "the page of launches",
    "order_new_for": "the form of an order",
    "by_hand": "needs a planned season: the words of it are tested with one",
    "by_hand_job": "needs a planned season",
    "plan_load": "needs a planned season",
    "plan_how_good": "needs a planned season",
    "what_if": "needs a planned season",
    "whole_change": "the lines of an owner's page",
}
"""Addresses that may be read and are no page of their own, or one that a made yard cannot show."""


SAME_FORM = {
    "boat_new": "boat_change",
    "person_new": "person_change",
    "place_new": "place_change",
    "thing_new": "thing_change",
    "owner_new": "owner_change",
    "mooring_new": "mooring_change",
    "tackle_new": "tackle_change",
    "kind_new": "kind_change",
    "product_new": "product_change",
    "material_new": "material_change",
    "supplier_new": "supplier_change",
    "stock_new": "stock_change",
    "canvas_option_new": "canvas_option_change",
    "canvas_piece_new": "canvas_piece_change",
    "canvas_panel_new": "canvas_panel_change",
    "order_job_new": "order_job",
    "package_job_new": "package_job",
    "repair_list_of_order": "repair_list_of_boat",
    "season_new": "season_kept_change",
    "option_sheet_new": "option_sheet_change",
    "sheet_option_new": "sheet_option_change",
}
"""Pages that show the form of another, empty. test_refused_forms asks them too for labels, and for what is linked."""


def looking(tree: ast.Module) -> list[ast.FunctionDef]:
    """The functions of a file that ask axe, and those of the same file that they are given or call."""
    functions = {node.name: node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}
    found: dict[str, ast.FunctionDef] = {}
    ahead = [each for each in functions.values() if named(each) & {"faults", "faults_at_every_size", "faults_of_main"}]
    while ahead:
        here = ahead.pop()
        if here.name not in found:
            found[here.name] = here
            ahead += [functions[name] for name in named(here) & set(functions)]
    return list(found.values())


def named(node: ast.AST) -> set[str]:
    names = {each.id for each in ast.walk(node) if isinstance(each, ast.Name)}
    return names | {each.arg for each in ast.walk(node) if isinstance(each, ast.arg)}


def texts(node: ast.AST) -> Iterator[str]:
    """Every text in the code; what is filled in is 1."""
    for each in ast.walk(node):
        if isinstance(each, ast.JoinedStr):
            yield "".join(str(part.value) if isinstance(part, ast.Constant) else "1" for part in each.values)
        elif isinstance(each, ast.Constant) and isinstance(each.value, str):
            yield from each.value.split()


def pages_of(node: ast.AST) -> Iterator[str]:
    """The names of the pages whose names or addresses stand in the code."""
    for text in texts(node):
        yield text
        if text.startswith("/"):
            try:
                yield str(resolve(text.partition("?")[0]).url_name)
            except Resolver404:
                continue


def test_every_page_is_looked_at_by_axe():
    looked_at = set(pages_of(ast.parse(Path(addresses.__file__).read_text(encoding="utf-8"))))
    for path in TESTS.rglob("test_browser_*.py"):
        for function in looking(ast.parse(path.read_text(encoding="utf-8"))):
            looked_at |= set(pages_of(function))
    read = {str(each.name) for each in get_resolver().url_patterns if "GET" in each.callback.verbs}
    assert read - looked_at - set(NO_PAGE) == set()
    assert set(NO_PAGE) - read == set()
    assert set(SAME_FORM.values()) <= looked_at - set(SAME_FORM)


OUT_OF_REACH = """() => {
  const told = [], fields = [...document.querySelectorAll(
    'main input:not([type=hidden]), main select, main textarea, main button')]
    .filter(each => !each.disabled && each.offsetParent !== null);
  let before = null;
  for (const each of fields) {
    const name = each.name || each.textContent.trim();
    each.focus();
    if (document.activeElement !== each || each.tabIndex !== 0) { told.push(name + ': not in turn by Tab'); }
    const looks = [each, each.labels && each.labels[0]].filter(Boolean).map(one => getComputedStyle(one));
    if (!looks.some(one => one.outlineStyle !== 'none' && parseFloat(one.outlineWidth) > 0)) {
      told.push(name + ': no mark where the keyboard is');
    }
    const drawn = each.getBoundingClientRect(), down = window.scrollY;
    const here = {top: drawn.top + down, bottom: drawn.bottom + down, left: drawn.left};
    if (before && before.form === each.form && here.bottom <= before.box.top && here.left <= before.box.left) {
      told.push(name + ': stands before ' + before.name + ' and comes after it');
    }
    before = {box: here, form: each.form, name: name};
  }
  return told;
}"""
"""What Tab does not come to in its turn, what does not show that it is there, and what is read before and comes after.

No tabindex is above 0 (each is asked), so that Tab goes as the page is written; where a field is drawn is asked too.
"""


def looked_at(page: Any, url: str, path: str) -> list[str]:
    """What is wrong with the page at this address, on a desk and on a phone."""
    page.set_viewport_size(DESK)
    answer = page.goto(url + path)
    told = [f"{path}: {answer.status}"] * (answer.status != 200) + faults_of_main(page)
    page.keyboard.press("Tab")  # so that the focus is that of a keyboard
    told += [f"{path}: {each}" for each in page.evaluate(OUT_OF_REACH)]
    page.set_viewport_size(PHONE)
    return told + too_wide(page)


def test_every_form_is_accessible_and_kept_by_keyboard(browser, cast, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Client().get("/healthz")  # all pages are loaded here once, and not while a browser waits for its first
    pages = forms_yard(tmp_path, lambda: load_packages(FOLDER, now=JANUARY))
    browser.sign_in(cast.ada)
    told: list[str] = []
    for path in (path for name, path in pages.items() if name not in SAME_FORM):
        told += browser.ui(lambda page, path=path: looked_at(page, browser.url, path))
        told += [f"{path} complains: {words}" for words in browser.complaints]
        browser.complaints.clear()
    assert told == [], "\n".join(told)


def test_of_two_people_at_one_boat_nobody_overwrites_silently(new_browser, cast):
    """Both open her form; who saves second is told what the first wrote, keeps what was typed, and decides."""
    YardSettings.objects.create(name="Tallow Creek Yard", time_zone="America/New_York")
    wren = Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)
    first, second = new_browser(), new_browser()
    for browser, user in ((first, cast.ada), (second, cast.cy)):
        browser.sign_in(user)
        browser.open(f"/boats/{wren.pk}/change/")

    def saved_as(page: Any, name: str) -> None:
        page.locator("[name=name]").fill(name)
        page.locator("main form button.main").first.click()

    def refused(page: Any) -> None:
        saved_as(page, "")
        expect(page.locator("[name=name]")).to_be_focused()  # the first field that is wrong
        saved_as(page, "Wren II")
        expect(page.get_by_role("alert").first).to_contain_text("somebody else changed this")
        expect(page.get_by_role("alert").first).to_be_focused()
        expect(page.get_by_role("row", name="Wren of Creek").first).to_contain_text("Wren II")
        expect(page.locator("[name=name]")).to_have_value("Wren II")

    first.ui(lambda page: saved_as(page, "Wren of Creek"))
    first.ui(lambda page: expect(page.get_by_role("heading", level=1)).to_contain_text("Wren of Creek"))
    second.ui(refused)
    wren.refresh_from_db()
    assert wren.name == "Wren of Creek"
    second.ui(lambda page: page.locator("main form button.main").first.click())
    second.ui(lambda page: expect(page.get_by_role("heading", level=1)).to_contain_text("Wren II"))
    wren.refresh_from_db()
    assert (wren.name, wren.history.filter(name="Wren of Creek").count()) == ("Wren II", 1)
