"""Owners, moorings, merging and selling in a real browser: by keyboard alone, and axe on every page."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from playwright.sync_api import expect

from tests.looks import DESK, faults, sizes
from yard.models import Boat, BoatOwner, Mooring, Owner, TacklePart, YardSettings

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)


@pytest.fixture
def wren(db) -> Boat:
    """Wren of Ann Hale, who is on file twice, as is Wren; with a mooring and one part of its tackle."""
    YardSettings.objects.create(
        name="Tallow Creek Yard", time_zone="America/New_York", clock_frozen_at=NOW, datum="MLLW"
    )
    her = Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)
    Boat.objects.create(ref="wren-2", name="Wren", length_m=7.1, beam_m=2.3, sail_number="114")
    ann = Owner.objects.create(ref="hale", name="Ann Hale", phone="401 555 0142", other_phones="401 555 0177, at work")
    Owner.objects.create(ref="hale-2", name="Anne Hale")
    BoatOwner.objects.create(boat=her, owner=ann, starts_on=date(2027, 1, 1), told_first=True)
    mooring = Mooring.objects.create(ref="M-12", permit_boat=her, depth_m_at_datum=1.8)
    TacklePart.objects.create(mooring=mooring, kind="anchor", size="500 lb", condition="replace")
    return her


def test_an_owner_by_keyboard_alone(browser, cast, wren):
    browser.sign_in(cast.cy)
    browser.open("/owners/new/")

    def walk(page):
        page.get_by_label("Name").focus()
        page.keyboard.type("Bo Reed")
        for typed in ("", "401 555 0142", "bo@creek.example", "401 555 0199, evenings"):
            page.keyboard.press("Tab")
            page.keyboard.type(typed)
        page.keyboard.press("Tab")  # the address
        page.keyboard.press("Tab")  # how they are reached
        page.keyboard.type("a t")
        page.get_by_role("button", name="Add").focus()
        page.keyboard.press("Enter")
        expect(page.get_by_role("heading", level=1)).to_have_text("Bo Reed")
        expect(page.get_by_role("link", name="Call 401 555 0199")).to_have_attribute("href", "tel:4015550199")

    browser.ui(walk)
    bo = Owner.objects.get(name="Bo Reed")
    assert (bo.phone, bo.prefers, bo.other_phones) == ("401 555 0142", "text", "401 555 0199, evenings")


@sizes
def test_accessible(new_browser, cast, wren, size):
    browser = new_browser(viewport=size)
    browser.sign_in(cast.ada)
    ann, mooring = Owner.objects.get(ref="hale"), Mooring.objects.get()
    pages = [
        f"/owners/{ann.pk}/",
        f"/moorings/{mooring.pk}/",
        f"/boats/{wren.pk}/sell/",
        f"/boats/{wren.pk}/merge/?with={Boat.objects.get(ref='wren-2').pk}",
    ]
    if size is DESK:  # what differs on a phone stands on the four above
        part = TacklePart.objects.get()
        pages += ["/owners/", f"/owners/{ann.pk}/change/", f"/moorings/{mooring.pk}/change/"]
        pages += [f"/moorings/tackle/{part.pk}/", "/duplicates/", f"/boats/{wren.pk}/change/"]
    found: list[str] = []
    for address in pages:
        browser.open(address)
        found += browser.ui(faults)
    assert found == []
