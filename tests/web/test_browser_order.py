"""An order taken by keyboard alone in a real browser, and axe on every page of orders, packages and settings."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from playwright.sync_api import expect

from tests.looks import faults_at_every_size
from tests.services.ordering import JANUARY, ordered
from tests.services.package_walk import FOLDER
from yard.models import Boat, Order, Package, YardSettings
from yard.services.packages import load_packages

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)


@pytest.fixture
def wren(db) -> Boat:
    load_packages(FOLDER, now=JANUARY)
    YardSettings.objects.create(
        name="Tallow Creek Yard",
        time_zone="America/New_York",
        clock_frozen_at=NOW,
        tide_station="8539993",
        datum="MLLW",
    )
    return Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)


def test_an_order_by_keyboard_alone(browser, cast, wren):
    browser.sign_in(cast.cy)
    browser.open("/orders/new/")

    def walk(page):
        page.get_by_label("Boat", exact=True).focus()
        page.keyboard.type("Wren")
        page.keyboard.press("Tab")  # the walk-in's summary
        page.keyboard.press("Tab")
        page.keyboard.type("Spring")
        expect(page.get_by_role("heading", name="13 jobs, 35 h 45 min of work")).to_be_visible()
        for _ in range(2):
            page.keyboard.press("Tab")
        page.keyboard.type("06042027")
        page.get_by_label("Sea trial").focus()
        page.keyboard.press("Space")
        expect(page.get_by_role("heading", name="14 jobs")).to_be_visible()
        expect(page.get_by_label("Sea trial")).to_be_focused()
        page.get_by_role("button", name="Save the order").focus()
        page.keyboard.press("Enter")
        expect(page.get_by_role("heading", level=1)).to_have_text("Spring commissioning for Wren")

    browser.ui(walk)
    order = Order.objects.get()
    assert str(order.wanted_date) == "2027-06-04"
    assert "sea_trial" in order.options


def test_accessible(new_browser, cast, wren):
    browser = new_browser()
    browser.sign_in(cast.ada)
    order, package = ordered(wren, "spring_commissioning"), Package.objects.get(key="spring_commissioning")
    pages = [
        "/orders/",
        f"/orders/new/?package={package.pk}",
        f"/orders/{order.pk}/",
        "/packages/",
        f"/packages/{package.pk}/",
        "/yard/",
        "/yard/allowance/",
        "/yard/tide/?table=2027-05-06+05:30+7.4",
    ]
    for path in pages:
        browser.open(path)
        assert browser.ui(faults_at_every_size) == []
    assert browser.complaints == []
