"""The pages of season, boats, people, days, launches and tides in a real browser: axe, light and dark, on paper."""

from __future__ import annotations

from datetime import date

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests.looks import faults_at_every_size
from tests.web.made_creek import FRIDAY, MONDAY, THURSDAY, job, launch, make_creek, person, post
from yard.models import Boat, GaugeReading, Season


@pytest.fixture
def yard(cast, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with timezone.override("America/New_York"):
        made = make_creek(tmp_path)
        plan, cal, ines = post(), person("Cal"), person("Ines")
        job(plan, "Dunlin", "Tune", THURSDAY, "09:00", "11:00", cal)
        launch(plan, "Sanderling", MONDAY, "10:30", cal, ines)
        knot = launch(plan, "Knot", FRIDAY, "12:30", ines)
        knot.job.order.promised_date = THURSDAY
        knot.job.order.save()
        Season.objects.create(name="Spring 2027", starts_on=date(2027, 1, 1), ends_on=date(2027, 8, 1))
        GaugeReading.objects.create(at=made.clock_frozen_at, observed_m_above_datum=2.5, read_by=cast.ben)
        return cal


def addresses(cal) -> list[str]:
    knot, season = Boat.objects.get(name="Knot"), Season.objects.get()
    return [
        "/",
        f"/season/boat-{knot.pk}/why/",
        "/?view=table",
        "/boats/",
        f"/boats/{knot.pk}/",
        "/plans/",
        "/crew/",
        f"/crew/{cal.pk}/",
        "/days/2027-05-06/",
        "/days/2027-05-06/free/",
        "/days/2027-05-06/instead/",
        "/more/",
        "/start/",
        "/help/",
        "/help/season/",
        "/help/numbers/",
        "/launches/",
        "/launches/2027-05-08/720/",
        "/tides/2027-05-06/?draft=1.2",
        "/tides/2027/5/?draft=1.2",
        "/seasons/",
        f"/seasons/{season.pk}/end/",
        "/seasons/compare/",
        "/books/?from=2027-05-01&to=2027-05-31",
        "/new-boats/",
        f"/orders/{knot.orders.get().pk}/trip/",
    ]


def test_accessible_and_no_wider_than_the_screen(new_browser, cast, yard):
    browser = new_browser()
    browser.sign_in(cast.ada)
    for path in addresses(yard):
        browser.open(path)
        assert browser.ui(faults_at_every_size) == []
    assert browser.complaints == []


def test_a_new_yards_first_page_is_accessible_and_no_wider_than_the_screen(new_browser, cast):
    browser = new_browser()
    browser.sign_in(cast.ada)
    for path in ("/start/?place=Trenton&units=feet&toe=x&draft=4", "/start/?place=Trenton&units=feet&toe=0&draft=4"):
        browser.open(path)
        assert browser.ui(faults_at_every_size) == []


def test_who_is_free_in_two_taps_on_a_phone(new_browser, cast, yard):
    browser = new_browser(viewport={"width": 390, "height": 844})
    browser.sign_in(cast.ben)
    browser.open("/")

    def walk(page):
        page.get_by_role("link", name="Days", exact=True).click()
        page.get_by_role("link", name="Who is free").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("Free now: Ines")

    browser.ui(walk)


def test_one_page_each_on_a4_and_letter(new_browser, cast, yard):
    browser = new_browser()
    browser.sign_in(cast.dee)
    for path in ("/days/2027-05-06/", "/launches/", "/tides/2027/5/?draft=1.2", "/tides/2027/8/"):
        browser.open(path)
        for paper in ("A4", "Letter"):
            pdf = browser.ui(lambda page, paper=paper: page.pdf(format=paper))
            assert pdf.count(b"/Type /Page\n") == 1, (path, paper)
