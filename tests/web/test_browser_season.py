"""The season board in a real browser: by keyboard, found while typing, folded rows, on a phone, on paper."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests.web.made_creek import FRIDAY, MONDAY, THURSDAY, at, job, make_creek, person, post
from yard.models import Order, Plan, PlannedCause


@pytest.fixture
def plan(cast, tmp_path, monkeypatch) -> Plan:
    """Knot late for want of water, and twenty boats on time."""
    monkeypatch.chdir(tmp_path)
    with timezone.override("America/New_York"):
        make_creek(tmp_path)
        plan, ines = post(), person("Ines")
        planned = job(plan, "Knot", "Tune", FRIDAY, "09:00", "11:00", ines)
        for number in range(20):
            job(plan, f"Teal {number}", "Tune", MONDAY + timedelta(days=number), "09:00", "11:00", ines)
        Order.objects.update(promised_date=MONDAY + timedelta(days=60))
        Order.objects.filter(boat__name="Knot").update(promised_date=THURSDAY)
        PlannedCause.objects.create(
            plan=plan,
            order=planned.job.order,
            job=planned.job,
            sequence=0,
            kind="water",
            days=1,
            ready_at=at(THURSDAY, "09:00"),
            starts_at=at(FRIDAY, "09:00"),
            could_start_at=at(THURSDAY, "09:00"),
        )
    return plan


def test_by_keyboard_a_row_opens_and_closes(browser, cast, plan):
    browser.sign_in(cast.ada)
    browser.open("/")

    def walk(page):
        opener = page.get_by_role("link", name="Why Knot")
        opener.focus()
        page.keyboard.press("Enter")
        expect(page.get_by_text("What would bring her back")).to_be_visible()
        expect(opener).to_have_attribute("aria-expanded", "true")
        page.keyboard.press("Escape")
        expect(page.get_by_text("What would bring her back")).to_have_count(0)
        expect(opener).to_be_focused()
        page.keyboard.press("Enter")
        page.get_by_role("link", name="Close", exact=True).click()
        expect(page.get_by_text("What would bring her back")).to_have_count(0)
        assert page.url.endswith("/")

    browser.ui(walk)


def test_every_row_is_one_of_the_tab_stops(browser, cast, plan):
    browser.sign_in(cast.ada)
    browser.open("/?unfold=on-time")

    def walk(page):
        page.get_by_role("link", name="Why Knot").focus()
        reached = []
        for _ in range(44):
            page.keyboard.press("Tab")
            reached.append(page.evaluate("document.activeElement.getAttribute('aria-label') || ''"))
        return [label for label in reached if label.startswith("Why Teal")]

    assert len(browser.ui(walk)) == 20


def test_keys_find_a_week_and_the_table(browser, cast, plan):
    browser.sign_in(cast.ada)
    browser.open("/")

    def walk(page):
        for key, address in (("]", "/?from=2027-05-03"), ("[", "/"), ("t", "/?view=table"), ("t", "/")):
            page.keyboard.press(key)
            page.wait_for_url(browser.url + address, wait_until="load")
        page.keyboard.press("/")
        page.keyboard.type("kno")
        expect(page.get_by_role("link", name="Why Knot")).to_be_visible()
        expect(page.get_by_text("Only names with “kno”.")).to_be_visible()
        expect(page.locator("#find")).to_be_focused()

    browser.ui(walk)


def test_those_on_time_come_when_asked_for(browser, cast, plan):
    browser.sign_in(cast.dee)
    browser.open("/")

    def walk(page):
        expect(page.get_by_role("link", name="Why Teal 3", exact=True)).to_have_count(0)
        page.get_by_role("link", name="Show the 20").click()
        expect(page.get_by_role("link", name="Why Teal 3", exact=True)).to_be_visible()
        page.get_by_role("link", name="Why Teal 3", exact=True).click()
        expect(page.get_by_text("Her jobs (1)")).to_be_visible()

    browser.ui(walk)


def test_on_a_phone_the_reason_stands_in_words_and_nothing_scrolls_sideways(new_browser, cast, plan):
    browser = new_browser(viewport={"width": 390, "height": 844})
    browser.sign_in(cast.ada)
    browser.open("/")

    def walk(page):
        expect(page.locator(".why-words").first).to_have_text("no tide in working hours Thu 6 May")
        expect(page.locator(".why-words").first).to_be_visible()
        expect(page.locator("td.lane").first).to_be_hidden()
        return page.evaluate("document.documentElement.scrollWidth")

    assert browser.ui(walk) <= 390
    assert browser.complaints == []


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_paper_has_the_whole_width(browser, cast, plan, paper):
    """Landscape: the board's table ends inside the page. 1 in is 96 px; margins are 8 mm (30 px) each."""
    width = {"A4": 1123, "Letter": 1056}[paper] - 60
    browser.sign_in(cast.ada)
    browser.open("/?unfold=on-time")

    def walk(page):
        page.emulate_media(media="print")
        page.set_viewport_size({"width": width, "height": 700})
        return page.evaluate("document.querySelector('.board table').getBoundingClientRect().right")

    assert browser.ui(walk) <= width
