"""A letter's whole journey in a real browser, and axe on every page of letters and on the owner's page."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.core.cache import cache
from django.urls import reverse
from playwright.sync_api import expect

from tests.letters.told_yard import NOW, fact_of, make_order, make_owner, make_plan, make_yard, move, tell
from tests.looks import DESK, PHONE, faults_at_every_size
from yard.models import (
    DayOdds,
    Fact,
    Item,
    ItemWhereabouts,
    Letter,
    Order,
    OwnerAnswer,
    Plan,
    PlanOdds,
    Season,
    Telling,
)
from yard.services.letters.sending import send_released
from yard.services.owner_pages.addresses import open_page, token_of
from yard.services.owner_pages.winter import list_again, open_next


@pytest.fixture
def order(db) -> Order:
    cache.clear()
    make_yard()
    plan = make_plan()
    order = make_order(plan, make_owner("Pia Larkin", email="pia@example.org"), "Merganser", NOW + timedelta(days=9))
    fact_of(order, "permit", "mooring permit")
    return order


def write_and_release(page):
    page.get_by_role("link", name="Pia Larkin", exact=True).click()
    page.get_by_text("Your own words", exact=True).click()
    page.get_by_label("Your own words at the head").fill("The bottom looks good, two coats on.")
    page.get_by_role("button", name="Keep them").click()
    expect(page.locator(".paper-letter")).to_contain_text("two coats on")
    expect(page.locator("mark").filter(has_text="Saturday 15 May")).to_be_visible()
    page.get_by_role("button", name="Send to Pia Larkin by e-mail").click()
    expect(page.get_by_role("status")).to_contain_text("Released")


def answer_on_the_phone(page):
    expect(page.get_by_text("Saturday 15 May").first).to_be_visible()
    page.get_by_role("button", name="It is done").click()
    expect(page.get_by_role("status")).to_contain_text("Thank you")
    page.get_by_role("button", name="It suits me").click()
    expect(page.get_by_text("You answered: Saturday 15 May suits")).to_be_visible()


def accept(page):
    panel = page.get_by_label("Pia Larkin: Mooring permit: done")
    panel.get_by_label("What you say back on the page").fill("It came, thank you")
    panel.get_by_role("button", name="Accept").click()
    expect(page.get_by_role("status")).to_contain_text("mooring permit is here")


def write_about_the_new_day(page):
    expect(page.get_by_text("the day told has moved")).to_be_visible()
    page.get_by_role("link", name="Pia Larkin", exact=True).click()
    expect(page.locator("mark").filter(has_text="Monday 17 May").first).to_be_visible()
    page.get_by_role("button", name="Send to Pia Larkin by e-mail").click()
    expect(page.get_by_role("status")).to_contain_text("Released")


def test_from_the_plan_to_the_owner_and_back(new_browser, cast, order, settings, tmp_path):
    """Write, edit, release; the owner answers on the phone; accepted; the plan moves; a new letter."""
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    settings.EMAIL_FILE_PATH = tmp_path
    desk, phone = new_browser(viewport=DESK), new_browser(viewport=PHONE)
    desk.sign_in(cast.ada)
    desk.open("/letters/")
    desk.ui(write_and_release)
    assert send_released(clock=lambda: NOW).sent == 1
    letter = Letter.objects.get()
    assert "two coats on" in letter.text
    path = letter.text.partition("on your own page: ")[2].split()[0]
    phone.open(path[path.index("/owner/") :])
    phone.ui(answer_on_the_phone)
    assert OwnerAnswer.objects.count() == 2
    assert Fact.objects.get().state == Fact.State.UNKNOWN
    desk.open("/letters/answers/")
    desk.ui(accept)
    assert Fact.objects.get().state == Fact.State.HERE
    move(order, Plan.objects.get(), 2)
    desk.open("/letters/")
    desk.ui(write_about_the_new_day)
    assert send_released(clock=lambda: NOW).sent == 1
    second = Letter.objects.order_by("-id").first()
    assert "Monday 17 May" in second.text
    assert "two coats on" not in second.text
    assert list(Telling.objects.values_list("how", flat=True)) == ["email", "email"]
    phone.ui(lambda page: page.reload())
    phone.ui(lambda page: expect(page.get_by_text("Monday 17 May").first).to_be_visible())
    phone.ui(lambda page: expect(page.get_by_text("It came, thank you")).to_be_visible())
    assert desk.complaints == phone.complaints == []


def test_accessible(new_browser, cast, order):
    owner = order.boat.owners.get()
    plan = Plan.objects.get()
    tell(order, "day", date(2027, 5, 12), plan=plan)
    second = make_order(plan, owner, "Second", NOW + timedelta(days=9))
    tell(second, "day", date(2027, 5, 15), plan=plan)
    fact_of(second, "approval", "approval of cloth and price")
    cushions = Item.objects.create(boat=second.boat, kind="cushions", name="Cushions")
    ItemWhereabouts.objects.create(item=cushions, kind="owner", since=NOW)
    second.boat.ownerships.update(insurance_expires_on=date(2027, 5, 1))
    make_order(plan, owner, "Wished", NOW + timedelta(days=12))
    done = make_order(plan, owner, "Third", NOW)
    done.jobs.update(state="done", actual_ends_at=NOW)
    done.state, done.promised_date = "done", date(2027, 5, 8)
    done.save()
    odds = PlanOdds.objects.create(plan=plan, made_at=NOW, scenarios=10, seed=1, seconds=1, rests_on="climate")
    DayOdds.objects.create(
        odds=odds, order=done, job=done.jobs.get(), milestone="done", planned_date=date(2027, 5, 8),
        promised_date=date(2027, 5, 8), chance_kept=0.9,
    )  # fmt: skip
    letter = Letter.objects.create(
        owner=owner, state="perhaps", subject="Hello", text="Dear Pia", claim=uuid4(), made_at=NOW, released_at=NOW
    )
    OwnerAnswer.objects.create(owner=owner, kind="words", said="Hello", made_at=NOW)
    this = Season.objects.create(name="Spring 2027", starts_on=date(2027, 3, 1), ends_on=date(2027, 7, 1))
    coming = open_next(this)
    list_again(coming, by=cast.ada, now=NOW)
    browser = new_browser()
    browser.sign_in(cast.ada)
    pages = [
        "/letters/",
        f"/letters/to/{owner.pk}/",
        f"/letters/{letter.pk}/",
        "/letters/words/",
        "/letters/words/moved/",
        "/letters/storm/",
        "/letters/winter/",
        "/letters/answers/",
        "/letters/honest/",
        reverse("owner_page", kwargs={"token": token_of(open_page(owner, by=None, now=NOW))}),
    ]
    for path in pages:
        browser.open(path)
        assert browser.ui(faults_at_every_size) == []
    assert browser.complaints == []
