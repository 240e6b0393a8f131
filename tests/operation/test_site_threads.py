"""What threads of the site keep for themselves stays their own, and Django still keeps it where it is replaced."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor
from zoneinfo import ZoneInfo

import pytest
from asgiref.local import Local
from django.urls import get_script_prefix, reverse, set_script_prefix
from django.utils import timezone, translation

from yard import site_threads


@pytest.fixture
def without_locks(monkeypatch: pytest.MonkeyPatch) -> None:
    for module, name in site_threads.KEPT:
        monkeypatch.setattr(module, name, getattr(module, name))  # put back afterwards
    site_threads.without_locks()


def test_django_keeps_there_what_is_replaced() -> None:
    """Where a new Django keeps them elsewhere, this fails, and the replacing would do nothing."""
    for module, name in site_threads.KEPT:
        assert isinstance(getattr(module, name), Local), f"{module.__name__}.{name}"


@pytest.mark.usefixtures("without_locks")
def test_each_thread_has_its_own_language_hours_and_prefix() -> None:
    together = threading.Barrier(2)

    def draw(language: str, zone: str, prefix: str) -> tuple[str, str, str, str]:
        translation.activate(language)
        timezone.activate(ZoneInfo(zone))
        set_script_prefix(prefix)
        together.wait(10)
        return (
            translation.get_language() or "",
            timezone.get_current_timezone_name(),
            get_script_prefix(),
            reverse("boats"),
        )

    with ThreadPoolExecutor(2) as threads:
        one = threads.submit(draw, "en", "Europe/London", "/one/")
        two = threads.submit(draw, "de", "America/New_York", "/two/")
    assert one.result() == ("en", "Europe/London", "/one/", "/one/boats/")
    assert two.result() == ("de", "America/New_York", "/two/", "/two/boats/")


@pytest.mark.usefixtures("without_locks")
def test_a_thread_that_set_nothing_has_the_yards() -> None:
    with translation.override("de"), timezone.override(ZoneInfo("Asia/Tokyo")), ThreadPoolExecutor(1) as thread:
        assert thread.submit(translation.get_language).result() == "en"
        assert thread.submit(timezone.get_current_timezone_name).result() == timezone.get_default_timezone_name()
        assert thread.submit(get_script_prefix).result() == "/"
