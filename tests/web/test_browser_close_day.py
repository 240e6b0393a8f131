"""A day closed without signal: what was typed is kept, sent once when there is signal, and a refusal loses nothing."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from tests.conftest import Browser, Cast
from tests.web.kept_on_the_phone import wait_until_kept
from tests.web.made_creek import THURSDAY, job, launch, person, post
from tests.web.phone_line import SIGNAL_LOST, PhoneLine, phone_on
from yard.models import DayClosing, Job, MaterialUsed, YardSettings

pytestmark = pytest.mark.django_db(transaction=True)
SAYS = "() => document.getElementById('sent').textContent"


def test_closed_without_signal_and_sent_later(
    transactional_db: None, creek: YardSettings, cast: Cast, new_browser: Callable[..., Browser], line: PhoneLine
) -> None:
    ben = person("Ben")
    plan = post()
    first = launch(plan, "Tern", THURSDAY, "09:00", ben, person("Cal"))
    second = job(plan, "Dunlin", "Varnish", THURSDAY, "11:00", "12:00", ben)
    phone = phone_on(line, new_browser)
    phone.sign_in(cast.ada)
    phone.open("/today/?all=1")

    def ready(page: Any) -> None:
        wait_until_kept(page)
        page.context.set_offline(True)
        line.cut()
        page.get_by_role("link", name="Close the day").click()
        page.get_by_role("checkbox", name="2, Dunlin, Varnish").check(force=True)
        page.locator(f"#e{second.job_id}").get_by_label("not begun").check(force=True)
        page.locator("[name=mname0]").fill("Sandpaper")
        page.locator("[name=mjob0]").fill("1")
        page.locator("[name=mqty0]").fill("4")
        page.reload()  # the page is opened again: all that was typed stands there
        assert page.locator("[name=mname0]").input_value() == "Sandpaper"
        assert page.locator(f"#e{second.job_id}").is_visible()
        for _ in range(2):  # pressed twice it is one
            page.get_by_role("button", name="Close the day").click()
        page.wait_for_function(f"{SAYS}.includes('1 not yet sent, no signal')")

    phone.ui(ready)
    assert DayClosing.objects.count() == 0

    def refused_and_mended(page: Any) -> None:
        page.goto(f"{phone.url}/today/?all=1")  # another page sends it too
        page.wait_for_function(f"{SAYS}.includes('1 not yet sent')")
        line.mend()
        page.context.set_offline(False)
        page.get_by_role("link", name="What was typed is kept there.").click()
        page.locator(f"#e{second.job_id}").get_by_label("wind").check(force=True)
        page.get_by_role("button", name="Close the day").click()
        page.get_by_role("heading", name="Thursday 6 May is closed").wait_for()
        page.goto(f"{phone.url}/today/?all=1")
        page.wait_for_function(f"{SAYS} === 'all sent'")

    phone.ui(refused_and_mended)
    assert DayClosing.objects.get().says == "Thu 6 May closed: 1 done, 1 not done or part done"
    assert MaterialUsed.objects.get().name == "Sandpaper"
    assert dict(Job.objects.values_list("pk", "state")) == {first.job_id: "done", second.job_id: "open"}
    assert [text for text in phone.complaints if not any(word in text for word in SIGNAL_LOST)] == []
