"""The list of boats, her page and the store in a real browser: axe, keyboard, two taps on a phone, paper."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests.looks import PHONE, faults_at_every_size
from tests.web.made_creek import FRIDAY, NOW, THURSDAY, job, launch, make_creek, person, post
from yard.models import (
    Boat,
    BoatOwner,
    Fact,
    Item,
    Job,
    JobKind,
    Measurement,
    Memo,
    Order,
    Owner,
    Place,
    StowPlan,
    Whereabouts,
    YardSettings,
)
from yard.services.stowing.plans import propose


@pytest.fixture
def knot(cast, tmp_path, monkeypatch, settings) -> Boat:
    """A late boat with owners, a launch, jobs enough for a page, a fact awaited, things and places; one without."""
    monkeypatch.chdir(tmp_path)
    settings.MEDIA_ROOT = tmp_path
    with timezone.override("America/New_York"):
        make_creek(tmp_path)
        plan, ines = post(), person("Ines")
        planned = launch(plan, "Knot", FRIDAY, "12:30", ines)
        for number in range(14):
            day = FRIDAY + timedelta(days=1 + number)
            job(plan, "Knot", f"Task {number}", day, "09:00", "11:00", ines, cautions=f"Caution {number}.")
    boat = Boat.objects.get(name="Knot")
    order = planned.job.order
    order.promised_date = THURSDAY
    order.save()
    Fact.objects.create(kind="cloth", name="cloth", order=order, set_at=NOW).jobs.add(planned.job)
    for name in ("Ida Fenn", "Noel Pike"):
        owner = Owner.objects.create(name=name, phone="+1 555-0100")
        BoatOwner.objects.create(boat=boat, owner=owner, starts_on=THURSDAY)
    row = Place.objects.create(ref="r1", name="Row 1", kind="store_row", capacity=3)
    for kind, name in (("apron", "Apron"), ("berth", "Berth"), ("slings", "Slings"), ("spar_rack", "Spar rack")):
        Place.objects.create(ref=kind, name=name, kind=kind, capacity=2)
    scoter = Boat.objects.create(ref="scoter", name="Scoter", length_m=9, beam_m=3)  # no draft, no order
    for position, her in enumerate((boat, scoter), start=1):
        Whereabouts.objects.create(boat=her, kind="store_row", place=row, position=position, since=NOW)
    marks = {"name": "Haul", "short_name": "haul", "letter": "H", "trade": "launch"}
    haul, _ = JobKind.objects.get_or_create(key="haul", defaults=marks)
    idle = Boat.objects.create(ref="idle", name="Idle", length_m=8, beam_m=2.5)
    idle_order = Order.objects.create(ref="O-77", boat=idle, name="Lay-up", made_at=NOW, wanted_date=FRIDAY)
    Job.objects.create(order=idle_order, kind=haul, key="haul", name="Haul")
    propose(StowPlan.Kind.BOATS, yard=YardSettings.objects.get(), by=cast.ada, now=NOW)
    mast = Item.objects.create(boat=boat, kind="mast", name="mast")
    mast.whereabouts.create(kind="place", place=Place.objects.get(ref="spar_rack"), since=NOW)
    Memo.objects.create(boat=boat, text="Zip is stiff.", made_by=cast.ben, made_at=NOW)
    Measurement.objects.create(boat=boat, name="boom to sole", value=1.93, made_by=cast.ben, made_at=NOW)
    return boat


def test_accessible_and_no_wider_than_the_screen(new_browser, cast, knot):
    browser = new_browser()
    browser.sign_in(cast.ada)
    scoter = Boat.objects.get(name="Scoter")
    for path in (
        "/boats/",
        "/boats/?find=zzz",
        f"/boats/{knot.pk}/",
        f"/boats/{scoter.pk}/",
        f"/boats/{knot.pk}/change/",
        "/store/",
        "/store/plan/",
        "/autumn/",
    ):
        browser.open(path)
        assert browser.ui(faults_at_every_size) == []
    assert browser.complaints == []


def test_by_keyboard_from_any_page_to_a_note_kept(new_browser, cast, knot):
    browser = new_browser()
    browser.sign_in(cast.ben)
    browser.open("/boats/")

    def walk(page):
        page.keyboard.press("/")
        page.keyboard.type("Knto")
        page.keyboard.press("Enter")
        page.wait_for_url("**/find/?q=Knto")
        page.get_by_role("link", name="Knot", exact=True).focus()
        page.keyboard.press("Enter")
        expect(page.get_by_role("heading", level=1)).to_have_text("Knot")
        page.locator("#note-text").focus()
        page.keyboard.type("Chafe to port")
        page.get_by_role("button", name="Keep it").focus()
        page.keyboard.press("Enter")
        expect(page.locator(".memo").first).to_have_text("Chafe to port")

    browser.ui(walk)
    assert Memo.objects.filter(boat=knot, text="Chafe to port", made_by=cast.ben).count() == 1
    assert browser.complaints == []


def test_where_she_stands_in_two_taps_on_a_phone_and_filters_are_folded(new_browser, cast, knot):
    browser = new_browser(viewport=PHONE)
    browser.sign_in(cast.ben)
    browser.open("/boats/")
    browser.ui(lambda page: expect(page.get_by_label("State")).to_be_hidden())
    browser.ui(lambda page: page.get_by_text("Narrow the list").click())
    browser.ui(lambda page: expect(page.get_by_label("State")).to_be_visible())
    browser.open(f"/boats/{knot.pk}/")

    def two_taps(page):
        page.get_by_text("She stands here …").click()
        expect(page.get_by_role("button", name="Slings")).to_be_hidden()  # not one of the likely places
        page.get_by_role("button", name="Apron").click()
        expect(page.get_by_role("status")).to_contain_text("Apron")

    browser.ui(two_taps)
    assert knot.whereabouts.order_by("-since").first().kind == "apron"


def test_every_owner_can_be_called_and_written_to(new_browser, cast, knot):
    browser = new_browser()
    browser.sign_in(cast.cy)
    browser.open(f"/boats/{knot.pk}/")
    for name in ("Ida Fenn", "Noel Pike"):
        browser.ui(lambda page, name=name: expect(page.get_by_role("link", name=f"Call {name}")).to_be_visible())
        browser.ui(lambda page, name=name: expect(page.get_by_role("link", name=f"Text {name}")).to_be_visible())


def test_her_page_is_one_sheet_and_cautions_and_the_water_a_second(new_browser, cast, knot):
    """15 jobs, 14 cautions, two weeks of water."""
    browser = new_browser()
    browser.sign_in(cast.ada)
    for path, most in ((f"/boats/{knot.pk}/", 2), (f"/boats/{Boat.objects.get(name='Scoter').pk}/", 1)):
        browser.open(path)
        pdf = browser.ui(lambda page: page.pdf(format="A4", landscape=True, prefer_css_page_size=True))
        assert 1 <= pdf.count(b"/Type /Page\n") <= most, path
