"""A job dragged along the day sheet is asked for at that hour; nothing is changed until a person puts it there."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from tests.conftest import Browser, Cast
from tests.web.made_creek import THURSDAY, job, person, post
from yard.models import HandDraft, YardSettings

pytestmark = pytest.mark.django_db(transaction=True)


def test_dragged_by_the_pointer(
    transactional_db: None, creek: YardSettings, cast: Cast, new_browser: Callable[..., Browser]
) -> None:
    row = job(post(), "Dunlin", "Varnish", THURSDAY, "11:00", "12:00", person("Ben"))
    desk = new_browser(viewport={"width": 1280, "height": 900})
    desk.sign_in(cast.ada)
    desk.open(f"/days/{THURSDAY}/")

    def drag(page: Any) -> tuple[str, str, str]:
        bar = page.locator("[data-job-number='1']").first
        box = bar.bounding_box()
        page.mouse.move(box["x"] + 20, box["y"] + box["height"] / 2)
        page.mouse.down()
        page.mouse.move(box["x"] + 20 + box["width"] / 2, box["y"] + 4, steps=4)  # half of an hour's bar
        told = page.locator("#dragged").inner_text()
        page.keyboard.press("Escape")
        left = page.url
        page.mouse.up()
        page.mouse.move(box["x"] + 20, box["y"] + box["height"] / 2)
        page.mouse.down()
        page.mouse.move(box["x"] + 20 + box["width"] / 2, box["y"] + 4, steps=4)
        with page.expect_navigation():
            page.mouse.up()
        return told, left, page.url

    told, left, arrived = desk.ui(drag)
    assert told == "Dunlin, Varnish: 11:30"
    assert left.endswith(f"/days/{THURSDAY}/")  # let go by Escape
    assert arrived.endswith(f"/plans/hand/jobs/{row.job_id}/?day={THURSDAY}&at=11:30")
    assert not HandDraft.objects.exists()
