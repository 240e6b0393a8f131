"""The pages of calendars in a real browser: axe, the width of a phone, the press that copies, the square code."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.feeds.feed_yard import FeedYard, Placed, at
from tests.looks import DESK, PHONE, faults
from yard.models import CalendarAddress
from yard.services.feeds.addresses import Rights, Shows, Wish, make_address, token_of


@pytest.fixture
def address(feed_yard: FeedYard, cast) -> CalendarAddress:
    feed_yard.post(
        Placed(feed_yard.job("Tune"), at(6, 13), people=[feed_yard.arne], places=[feed_yard.ramp]),
        Placed(feed_yard.job("Launch", kind="launch"), at(10, 12), people=[feed_yard.arne]),
    )
    by = Rights(cast.ada, plans=True, sees_owners=True)
    make_address(Wish("tides", "Tides"), by=Rights(cast.ben, plans=False, sees_owners=False), now=feed_yard.now)
    shows = Shows(parts=["closures", "highs_lows"], alarm_min=30)
    return make_address(Wish("person", "Arne: jobs", feed_yard.arne, shows), by=by, now=feed_yard.now)


def test_accessible_and_no_wider_than_the_screen(new_browser, cast, feed_yard, address) -> None:
    """Axe on a phone, where the tables are cards; the width on a desk too."""
    browser = new_browser(viewport=PHONE)
    browser.sign_in(cast.ada)
    for path in ("/calendars/", f"/calendars/{address.pk}/", f"/calendars/owners/{feed_yard.cy.pk}/"):
        browser.open(path)
        assert browser.ui(faults) == [], path
        browser.ui(lambda page: page.set_viewport_size(DESK))
        assert browser.ui(lambda page: page.evaluate("document.documentElement.scrollWidth")) <= DESK["width"], path
        browser.ui(lambda page: page.set_viewport_size(PHONE))
    assert browser.complaints == []


def test_made_copied_and_printed_on_one_page(new_browser, cast, feed_yard: FeedYard, address) -> None:
    browser = new_browser(permissions=["clipboard-read", "clipboard-write"])
    browser.sign_in(cast.ada)
    browser.open(f"/calendars/?shows=person:{feed_yard.wren.pk}")

    def make_and_copy(page) -> str:
        page.get_by_role("button", name="Make it").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("Wren Ash: jobs")
        page.wait_for_load_state("load")  # copying is the script's
        page.get_by_role("button", name="Copy the address").click()
        expect(page.get_by_role("button", name="Copied")).to_be_visible()
        return str(page.evaluate("navigator.clipboard.readText()"))

    copied = browser.ui(make_and_copy)
    hers = CalendarAddress.objects.get(person=feed_yard.wren)
    assert copied.endswith(f"/calendar/{token_of(hers)}.ics")
    browser.open(f"/calendars/owners/{feed_yard.cy.pk}/")
    pdf = browser.ui(lambda page: page.pdf(format="A4"))
    assert pdf.count(b"/Type /Page\n") == 1
