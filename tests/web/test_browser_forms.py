"""The forms of the yard's facts that no other browser test opens: axe on desk and phone, and every field by keyboard.

Orders, keeping, kept rows, boats and lists have browser tests of their own. Also: two people at one boat.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.looks import PHONE, faults
from tests.services.ordering import JANUARY, ordered
from tests.services.package_walk import FOLDER
from yard.models import (
    Boat,
    BoatOwner,
    Item,
    JobKind,
    Owner,
    Package,
    Place,
    ProductSheet,
    ProductWait,
    RepairList,
    SaleToCome,
    Skill,
    YardSettings,
)
from yard.services.packages import load_packages

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)


@pytest.fixture
def pages(db) -> list[str]:
    """The addresses, on one made row of each kind."""
    load_packages(FOLDER, now=JANUARY)
    YardSettings.objects.create(name="Tallow Creek Yard", time_zone="America/New_York", clock_frozen_at=NOW)
    wren = Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)
    ann = Owner.objects.create(ref="hale", name="Ann Hale", phone="401 555 0142")
    share = BoatOwner.objects.create(boat=wren, owner=ann, starts_on=date(2027, 1, 1), told_first=True)
    SaleToCome.objects.create(
        boat=wren, sold_on=date(2027, 6, 12), new_owner={"name": "Di Moss"}, made_at=NOW, why_not="She is archived."
    )
    Item.objects.create(boat=wren, kind="sail", name="Main")
    Place.objects.create(ref="apron", name="Apron", kind="apron")
    order = ordered(wren, "spring_commissioning")
    sheet = ProductSheet.objects.create(kind="paint", name="Heron Red", source="invented", min_temp_c=10.0)
    ProductWait.objects.create(sheet=sheet, from_temp_c=10.0, min_wait_min=960)
    coat = order.jobs.get(key="first_coat")
    coat.links_after.filter(product_kind="paint").update(product_sheet=sheet)
    repairs = RepairList.objects.create(name="Main", boat=wren, made_at=NOW)
    package, kind = Package.objects.get(key="halyard"), JobKind.objects.get(key="launch")
    return [
        "/orders/walk-in/",
        "/orders/again/",
        f"/orders/{order.pk}/jobs/{coat.pk}/",
        "/packages/new/",
        f"/packages/{package.pk}/change/",
        f"/packages/{package.pk}/jobs/halyard/",
        f"/packages/{package.pk}/offers/",
        "/products/new/",
        f"/products/{sheet.pk}/",
        "/kinds/",
        f"/kinds/{kind.pk}/",
        f"/repairs/{repairs.pk}/",
        f"/boats/{wren.pk}/",
        f"/boats/{wren.pk}/sell/",
        "/boats/new/",
        f"/owners/boats/{share.pk}/",
        f"/owners/{ann.pk}/merge/",
        "/moorings/new/",
        "/places/new/",
        "/things/new/",
        f"/crew/skills/{Skill.objects.get(key='rigger').pk}/",
        "/find/",
    ]


def out_of_reach(page: Any) -> list[str]:
    """Fields and buttons of the main part that Tab does not come to, and those that do not show that they are there."""
    page.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
    return page.evaluate(
        """() => {
          const told = [];
          const kept = 'main input:not([type=hidden]), main select, main textarea, main button';
          for (const each of document.querySelectorAll(kept)) {
            if (each.disabled || each.offsetParent === null) { continue; }
            each.focus();
            const name = each.name || each.textContent.trim();
            if (document.activeElement !== each || each.tabIndex < 0) { told.push(name + ': not by keyboard'); }
            const label = each.labels && each.labels[0];
            const looks = [each, label].filter(Boolean).map(one => getComputedStyle(one));
            if (!looks.some(one => one.outlineStyle !== 'none' && parseFloat(one.outlineWidth) > 0)) {
              told.push(name + ': no mark where the keyboard is');
            }
          }
          return told;
        }"""
    )


def looked_at(browser: Any, path: str, *, keyboard: bool) -> list[str]:
    """What is wrong with the page at this address."""
    answer = browser.ui(lambda page: page.goto(browser.url + path))
    told = [f"{path}: {answer.status}"] * (answer.status != 200) + browser.ui(faults)
    if keyboard:
        browser.ui(lambda page: page.keyboard.press("Tab"))  # so that focus is that of a keyboard
        told += [f"{path}: {each}" for each in browser.ui(out_of_reach)]
    return told


def test_every_form_is_accessible_and_kept_by_keyboard(new_browser, cast, pages):
    desk, phone = new_browser(), new_browser(viewport=PHONE)
    for browser in (desk, phone):
        browser.sign_in(cast.ada)
    told = [each for path in pages for each in looked_at(desk, path, keyboard=True)]
    told += [each for path in pages for each in looked_at(phone, path, keyboard=False)]
    assert told == []
    assert (desk.complaints, phone.complaints) == ([], [])


def test_of_two_people_at_one_boat_nobody_overwrites_silently(new_browser, cast, pages):
    """Both open her form; the second who saves is told what the first one wrote, and decides."""
    wren = Boat.objects.get(ref="wren")
    first, second = new_browser(), new_browser()
    for browser, user in ((first, cast.ada), (second, cast.cy)):
        browser.sign_in(user)
        browser.open(f"/boats/{wren.pk}/change/")

    def save(page: Any, name: str) -> None:
        page.locator("[name=name]").fill(name)
        page.locator("main form button.main").first.click()

    first.ui(lambda page: save(page, "Wren of Creek"))
    first.ui(lambda page: expect(page.get_by_role("heading", level=1)).to_contain_text("Wren of Creek"))
    second.ui(lambda page: save(page, "Wren II"))
    second.ui(lambda page: expect(page.get_by_role("alert").first).to_contain_text("Wren of Creek"))
    wren.refresh_from_db()
    assert wren.name == "Wren of Creek"
    second.ui(lambda page: page.locator("main form button.main").first.click())
    second.ui(lambda page: expect(page.get_by_role("heading", level=1)).to_contain_text("Wren II"))
    wren.refresh_from_db()
    assert (wren.name, wren.history.filter(name="Wren of Creek").count()) == ("Wren II", 1)
