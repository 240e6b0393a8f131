"""The crew's phone without signal and back: what was tapped is kept, said to be so, sent once, and the page opens."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.conftest import Browser, Cast
from tests.operation.test_catalogues import written
from tests.web.kept_on_the_phone import wait_until_kept
from tests.web.made_creek import THURSDAY, job, launch, person, post
from tests.web.phone_line import SIGNAL_LOST, PhoneLine, phone_on
from tests.web.test_storm_pages import afloat, storm
from yard import catalogues
from yard.models import Job, StormLine, Tap, YardSettings

pytestmark = pytest.mark.django_db(transaction=True)


def go_out_of_reach(phone: Browser, line: PhoneLine) -> None:
    phone.thread.submit(phone.context.set_offline, True).result()
    line.cut()


def come_back(phone: Browser, line: PhoneLine) -> None:
    line.mend()
    phone.thread.submit(phone.context.set_offline, False).result()


def forget_what_any_browser_keeps(page: Any) -> None:
    """The words may lie in the browser's own cache for an hour; what the worker keeps stays."""
    page.context.new_cdp_session(page).send("Network.clearBrowserCache")


def test_off_and_back(
    transactional_db: None, creek: YardSettings, cast: Cast, new_browser: Callable[..., Browser], line: PhoneLine
) -> None:
    ben = person("Ben")
    ben.user = cast.ben
    ben.save()
    plan = post()
    first = launch(plan, "Tern", THURSDAY, "09:00", ben, person("Cal"))
    second = job(plan, "Dunlin", "Varnish", THURSDAY, "11:00", "12:00", ben)
    phone = phone_on(line, new_browser)
    phone.sign_in(cast.ben)
    phone.open("/today/")

    phone.ui(wait_until_kept)
    go_out_of_reach(phone, line)

    def finish_both(page: Any) -> str:
        page.get_by_role("button", name="Finished, for all 2 Tern, Launch").click()
        page.get_by_text("11:00 Dunlin Varnish").click()
        page.get_by_role("button", name="Finished Dunlin, Varnish").click()
        page.wait_for_function("() => document.getElementById('sent').textContent.includes('2 not yet sent')")
        return str(page.locator(f"[data-card='{first.job.pk}'] .p-mark").inner_text())

    def finish_and_undo(page: Any) -> tuple[str, str]:
        page.get_by_role("button", name="Finished, for all 2 Tern, Launch").click()
        page.wait_for_function("() => document.getElementById('sent').textContent.includes('1 not yet sent')")
        marks = [page.locator(f"[data-card='{row.job.pk}'] .p-mark").inner_text() for row in (first, second)]
        page.wait_for_function("() => document.getElementById('sent').textContent.includes('no signal')")
        page.get_by_role("button", name="Undo").click()
        page.wait_for_function("() => document.getElementById('sent').textContent.includes('2 not yet sent')")
        page.evaluate("() => Object.keys(localStorage).forEach(key => localStorage.removeItem(key))")
        page.reload()
        return marks[0], marks[1]

    assert phone.ui(finish_and_undo) == ("finished, not yet sent", "")
    assert phone.ui(finish_both) == "finished, not yet sent"
    assert Tap.objects.count() == 0

    def reload(page: Any) -> str:
        page.reload()
        page.wait_for_function("() => document.getElementById('sent').textContent.includes('2 not yet sent')")
        return str(page.locator("h1").inner_text())

    assert phone.ui(reload) == "Ben's day, Thursday 6 May"  # the page opens without signal, and knows what it owes
    come_back(phone, line)
    phone.ui(
        lambda page: page.wait_for_function("() => document.getElementById('sent').textContent.startsWith('all sent')")
    )
    assert set(Job.objects.filter(pk__in=[first.job_id, second.job_id]).values_list("state", flat=True)) == {"done"}
    assert Tap.objects.count() == 2

    def undo(page: Any) -> None:
        page.goto(f"{phone.url}/today/?all=1")
        page.wait_for_function("() => document.getElementById('sent').textContent === 'all sent'")

    phone.ui(undo)
    assert Tap.objects.count() == 2
    assert [text for text in phone.complaints if not any(word in text for word in SIGNAL_LOST)] == []


def test_scripts_speak_the_yards_language_without_signal(
    transactional_db: None,
    creek: YardSettings,
    cast: Cast,
    new_browser: Callable[..., Browser],
    line: PhoneLine,
    tmp_path: Path,
    settings: Any,
) -> None:
    """The words of scripts are kept as the page is: a yard that speaks German is told so in German on the dock."""
    written(
        tmp_path,
        'msgid "{n} not yet sent"\nmsgid_plural "{n} not yet sent"\n'
        'msgstr[0] "{n} noch nicht gesendet"\nmsgstr[1] "{n} noch nicht gesendet"\n\n'
        'msgid "no signal"\nmsgstr "kein Empfang"\n\n'
        'msgid "{done}, not yet sent"\nmsgstr "{done}, noch nicht gesendet"\n\n'
        'msgid "all sent"\nmsgstr "alles gesendet"\n',
        "djangojs",
    )
    settings.LANGUAGE_CODE = "de"
    settings.LOCALE_PATHS = catalogues.made_ready("de", [tmp_path / "locale"], into=tmp_path / "made")
    ben = person("Ben")
    ben.user = cast.ben
    ben.save()
    launch(post(), "Tern", THURSDAY, "09:00", ben)
    phone = phone_on(line, new_browser)
    phone.sign_in(cast.ben)
    phone.open("/today/")
    phone.ui(wait_until_kept)
    phone.ui(forget_what_any_browser_keeps)
    go_out_of_reach(phone, line)

    def finish(page: Any) -> tuple[str, str, str]:
        page.reload()
        page.get_by_role("button", name="Finished Tern, Launch").click()
        page.wait_for_function("() => document.getElementById('sent').textContent.includes('kein Empfang')")
        return page.locator("html").get_attribute("lang"), page.locator("#sent").inner_text(), page.locator(
            ".p-mark").first.inner_text()  # fmt: skip

    language, sent, mark = phone.ui(finish)
    assert (language, sent) == ("de", "1 noch nicht gesendet, kein Empfang")
    assert mark.endswith(", noch nicht gesendet")
    come_back(phone, line)
    phone.ui(
        lambda page: page.wait_for_function("() => document.getElementById('sent').textContent.startsWith('alles ges')")
    )
    assert Tap.objects.count() == 1


def test_a_storm_list_is_ticked_off_without_signal(
    transactional_db: None, creek: YardSettings, cast: Cast, new_browser: Callable[..., Browser], line: PhoneLine
) -> None:
    """On the dock the list opens without signal, a tick says that it is not yet sent, and it is sent once."""
    afloat("Auk", "double")
    afloat("Brant", "strip")
    made = storm()
    phone = phone_on(line, new_browser)
    phone.sign_in(cast.ben)
    phone.open(f"/today/storms/{made.pk}/")
    phone.ui(wait_until_kept)
    go_out_of_reach(phone, line)

    def tick(page: Any) -> str:
        page.get_by_role("button", name="Done Auk").click()
        page.wait_for_function("() => document.getElementById('sent').textContent.includes('1 not yet sent')")
        page.reload()
        page.wait_for_function("() => document.getElementById('sent').textContent.includes('1 not yet sent')")
        return str(page.locator("li", has_text="Auk").locator(".p-mark").inner_text())

    assert phone.ui(tick) == "done, not yet sent"
    assert not StormLine.objects.filter(done_at__isnull=False).exists()
    come_back(phone, line)
    phone.ui(
        lambda page: page.wait_for_function("() => document.getElementById('sent').textContent.startsWith('all sent')")
    )
    assert [line.boat.name for line in StormLine.objects.filter(done_at__isnull=False)] == ["Auk"]
    assert Tap.objects.count() == 1
