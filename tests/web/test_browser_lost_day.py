"""The day the weather takes, in real browsers: a forecast brought in, the day closed, the proposal read, a boat kept,
asked again, accepted while somebody else has it open, read by the crew, undone, and the day closed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.conftest import Cast, _post_in_january, build_january
from tests.looks import PHONE
from tests.services.test_proposals import made
from tests.web.test_lost_day_journey import ZONE, first_windy_work, gale_on, live_until
from yard.models import DayClosing, Plan, PlannedJob, Proposal, YardSettings


@pytest.fixture
def lost(live_server: Any, kept_rows: Any) -> PlannedJob:
    """The first work that a gale shuts, of the plan on the wall of the example yard, whose clock stands on the eve."""
    kept_rows.there("january", build_january)
    kept_rows.there("posted in january", _post_in_january)
    row = first_windy_work()
    live_until(midnight(row) - timedelta(hours=6))
    return row


def midnight(row: PlannedJob) -> datetime:
    return row.starts_at.astimezone(ZONE).replace(hour=0, minute=0)


def newest() -> Proposal:
    """What the worker would make of the proposal that was asked for last."""
    return made(Proposal.objects.order_by("-pk")[0], rounds=2)


def press(page: Any, name: str) -> None:
    page.get_by_role("button", name=name).first.click()


def being_made(page: Any) -> None:
    """Asked for. The page is left: it loads itself anew once the proposal is there, in the middle of the next step."""
    expect(page.get_by_role("heading", name="Making a proposal")).to_be_visible()
    page.goto("about:blank")


@dataclass
class Desk:
    """One person at the pages of a lost day. Each step runs in the browser's own thread."""

    browser: Any

    def brings_in(self, forecast: bytes) -> None:
        def steps(page: Any) -> None:
            page.get_by_label("File", exact=True).set_input_files(
                {"name": "f.csv", "mimeType": "text/csv", "buffer": forecast}
            )
            press(page, "Keep it")
            expect(page.get_by_text("suggested").first).to_be_visible()
            page.goto(self.browser.url + "/")
            press(page, "Close it, and propose")
            being_made(page)

        self.browser.open("/forecast/")
        self.browser.ui(steps)

    def keeps_the_first_boat(self, proposal: Proposal) -> str:
        def steps(page: Any) -> str:
            row = page.locator("table.moves tbody tr").first
            name = str(row.locator(".boat").first.inner_text())
            row.get_by_label("keep her where she is").check()
            page.get_by_text("Change it and ask again").click()
            press(page, "Ask again")
            being_made(page)
            return name

        self.browser.open(f"/proposals/{proposal.pk}/")
        return str(self.browser.ui(steps))

    def accepts(self, proposal: Proposal, kept: str) -> None:
        def steps(page: Any) -> None:
            expect(page.locator("main .note").filter(has_text=kept).first).to_be_visible()  # left as she is, or why not
            press(page, "Accept and post")
            expect(page.get_by_text("Accepted by Ada")).to_be_visible()

        self.browser.open(f"/proposals/{proposal.pk}/")
        self.browser.ui(steps)

    def is_too_late(self) -> None:
        def steps(page: Any) -> None:
            press(page, "Accept and post")
            expect(page.get_by_text("accepted").first).to_be_visible()
            expect(page.get_by_role("button", name="Accept and post")).to_have_count(0)

        self.browser.ui(steps)

    def undoes(self, proposal: Proposal, number: int | None) -> None:
        def steps(page: Any) -> None:
            press(page, "Take back")
            page.goto(f"{self.browser.url}/proposals/{proposal.pk}/")
            press(page, "Undo")
            expect(page.get_by_text(f"plan {number} hangs on the wall again").first).to_be_visible()

        self.browser.open("/proposals/new/")
        self.browser.ui(steps)

    def reads(self, path: str) -> str:
        self.browser.open(path)
        return " ".join(self.browser.ui(lambda page: page.locator("main").inner_text()).split())

    def closes_the_day(self, path: str) -> None:
        def steps(page: Any) -> None:
            press(page, "Close the day")
            expect(page.get_by_role("button", name="Undo the closing")).to_be_visible()

        self.browser.open(path)
        self.browser.ui(steps)


def test_a_gale_from_the_forecast_to_the_closed_day(lost: PlannedJob, cast: Cast, new_browser: Any) -> None:
    morning, posted = midnight(lost), Plan.objects.get(state="posted")
    now = YardSettings.objects.get().clock_frozen_at
    assert now is not None
    ada, beside_her, ben = Desk(new_browser()), Desk(new_browser()), Desk(new_browser(viewport=PHONE))
    for desk, user in ((ada, cast.ada), (beside_her, cast.ada), (ben, cast.ben)):
        desk.browser.sign_in(user)
    today, hers = f"/today/?day={morning:%Y-%m-%d}&all=1", f"{lost.job.order.boat} {lost.job.name}"
    assert hers in ben.reads(today)

    ada.brings_in(gale_on(morning, now).read())
    first = newest()
    assert Plan.objects.get(state="posted") == posted, "a forecast and a closure alone move nothing"
    kept = ada.keeps_the_first_boat(first)
    second = newest()
    assert second.pk != first.pk
    beside_her.browser.open(f"/proposals/{second.pk}/")
    ada.accepts(second, kept)
    new = Plan.objects.get(state="posted")
    beside_her.is_too_late()
    assert Plan.objects.get(state="posted") == new != posted
    still = new.planned_jobs.filter(job=lost.job, starts_at__lt=morning + timedelta(days=1), starts_at__gte=morning)
    assert (hers in ben.reads(today)) == still.exists()

    ada.undoes(second, posted.number)
    assert Plan.objects.get(state="posted") == posted
    assert hers in ben.reads(today)
    YardSettings.objects.update(clock_frozen_at=morning + timedelta(hours=17))
    ben.closes_the_day(f"/today/close/{morning:%Y-%m-%d}/")
    assert DayClosing.objects.get().day == morning.date()
    assert [*ada.browser.complaints, *ben.browser.complaints] == []
