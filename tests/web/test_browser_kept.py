"""People, places, things and finding in a real browser: axe, a form by keyboard alone, results while somebody types."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import expect

from tests.looks import PHONE, faults_at_every_size
from yard.models import (
    Boat,
    BoatOwner,
    DatedHours,
    Gear,
    Interval,
    Item,
    ItemWhereabouts,
    Owner,
    Person,
    Place,
    Skill,
    YardSettings,
)
from yard.services.shipped_intervals import bring_in_intervals

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
HOUR, DAY = timedelta(hours=1), timedelta(days=1)


@pytest.fixture
def creek(cast) -> Boat:
    YardSettings.objects.create(name="Creek", time_zone="America/New_York", clock_frozen_at=NOW, units="feet")
    teal = Boat.objects.create(ref="teal", name="Teal", length_m=9, beam_m=3)
    owner = Owner.objects.create(name="Ruth Hale", phone="207 555 0142")
    BoatOwner.objects.create(boat=teal, owner=owner, starts_on=NOW.date())
    nell = Person.objects.create(name="Nell Frost", short_name="Nell")
    DatedHours.objects.create(person=nell, kind="away", starts_at=NOW, ends_at=NOW.replace(hour=20), reason="dentist")
    Skill.objects.create(key="rig", name="Rigging")
    Place.objects.create(ref="ramp", name="Ramp", kind="ramp", outdoor=True)
    Item.objects.create(boat=teal, kind="sail", name="genoa", bag_tag="S-12")
    return teal


def test_accessible_and_no_wider_than_the_screen(new_browser, cast, creek):
    browser = new_browser()
    browser.sign_in(cast.ada)
    person, place, item = Person.objects.get(), Place.objects.get(), Item.objects.get()
    for path in (
        f"/crew/{person.pk}/change/",
        "/crew/skills/",
        "/crew/",
        f"/places/{place.pk}/",
        "/places/",
        "/things/",
        f"/things/{item.pk}/",
        f"/things/{item.pk}/change/",
        "/find/?q=hale",
        "/find/?q=zzzz",
        "/yard/",
    ):
        browser.open(path)
        assert browser.ui(faults_at_every_size) == []
    assert browser.complaints == []


@pytest.fixture
def cared_for(creek) -> list[str]:
    """A damp sail and some gear, with the pages that tell of them."""
    store, item = Place.objects.create(ref="store", name="Sail store", kind="sail_store"), Item.objects.get()
    ItemWhereabouts.objects.create(item=item, kind="place", place=store, condition="damp", since=NOW - HOUR)
    bring_in_intervals(by=None, now=NOW)
    sling = Gear.objects.create(ref="sling", kind="sling", name="Sling", in_use_since=NOW.date() - 500 * DAY)
    often = Interval.objects.get(key="slings")
    return [
        f"/things/{item.pk}/",
        "/sails/",
        "/due/",
        "/due/intervals/",
        f"/due/intervals/{often.pk}/",
        "/due/gear/",
        f"/due/gear/{sling.pk}/",
        f"/due/{often.pk}/gear/{sling.pk}/",
    ]


def test_sails_and_intervals_are_accessible_and_no_wider_than_the_screen(new_browser, cast, cared_for):
    browser = new_browser()
    browser.sign_in(cast.ada)
    for path in cared_for:
        browser.open(path)
        assert browser.ui(faults_at_every_size) == []
    assert browser.complaints == []


def test_a_person_is_added_and_away_by_keyboard_alone(new_browser, cast, creek):
    browser = new_browser()
    browser.sign_in(cast.cy)
    browser.open("/crew/new/")

    def walk(page):
        page.locator("#id_name").focus()
        page.keyboard.type("Amos Quill")
        while page.evaluate("document.activeElement.id") != "id_hours":
            page.keyboard.press("Tab")
        page.keyboard.type("Mon-Fri 07:00-15:30")
        page.keyboard.press("Tab")
        page.get_by_role("button", name="Add").focus()
        page.keyboard.press("Enter")
        expect(page.get_by_role("heading", level=1)).to_have_text("Amos Quill")
        page.locator("summary", has_text="Write down days").focus()
        page.keyboard.press("Enter")
        page.locator("#away-reason").focus()
        page.keyboard.type("holiday")
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")  # the first button says that he is away
        expect(page.get_by_role("status")).to_contain_text("it is written down")

    browser.ui(walk)
    assert Person.objects.get(short_name="Amos").weekly_hours.count() == 5
    assert DatedHours.objects.get(person__short_name="Amos").kind == "away"
    assert browser.complaints == []


def test_results_come_while_somebody_types_on_a_phone(new_browser, cast, creek):
    browser = new_browser(viewport=PHONE)
    browser.sign_in(cast.cy)
    browser.open("/things/")

    def walk(page):
        page.get_by_label("Find anything on file").fill("5550142")
        page.keyboard.press("Enter")
        expect(page.get_by_role("link", name="Call Ruth Hale")).to_be_visible()
        page.wait_for_load_state("load")  # what is typed before the script is here waits for Enter
        page.locator("#find-q").fill("genao")
        expect(page.get_by_role("link", name="Genoa")).to_be_visible()
        expect(page.get_by_role("link", name="Call Ruth Hale")).to_have_count(0)
        page.get_by_role("link", name="Genoa").click()
        page.get_by_role("button", name="Aboard").click()  # the second tap
        expect(page.get_by_role("status")).to_contain_text("aboard")

    browser.ui(walk)
    assert Item.objects.get().whereabouts.get().kind == "aboard"
    assert browser.complaints == []
