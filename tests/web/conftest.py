"""The yard at Made Creek, and who of the cast looks at it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from tests.conftest import Cast
from tests.web.made_creek import BACKEND, make_creek
from tests.web.phone_line import PhoneLine
from tests.web.tallow_creek import make_tallow_creek, signed_in
from yard.models import Boat, YardSettings


@pytest.fixture
def creek(db: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[YardSettings]:
    """The yard with its made tide, on a folder of its own, read in New York's time."""
    monkeypatch.chdir(tmp_path)
    with timezone.override("America/New_York"):
        yield make_creek(tmp_path)


@pytest.fixture
def dee(cast, client) -> Client:
    """Dee may look, and no more."""
    client.force_login(cast.dee, BACKEND)
    return client


@pytest.fixture
def tallow(packages: None) -> YardSettings:
    """Tallow Creek with the packages as they are shipped."""
    return make_tallow_creek()


@pytest.fixture
def photographs_here(tmp_path: Path, settings: Any) -> None:
    """Photographs that are sent lie in a folder of the test's own."""
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def wren(db: None) -> Boat:
    return Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)


@pytest.fixture
def cy(cast: Cast) -> Client:
    return signed_in(cast.cy)


@pytest.fixture
def ben(cast: Cast) -> Client:
    return signed_in(cast.ben)


@pytest.fixture(scope="module")
def ui(browser_thread: Any) -> Iterator[Callable[[Callable[[Any], Any]], Any]]:
    """`ui(action)`: `action(page)` in a browser that asks nothing of any server; a page's HTML is put into it."""
    thread, chromium = browser_thread
    context = thread.submit(chromium.new_context).result()
    page = thread.submit(context.new_page).result()
    yield lambda action: thread.submit(action, page).result()
    thread.submit(context.close).result()


@pytest.fixture
def line(live_server: Any) -> Iterator[PhoneLine]:
    laid = PhoneLine(live_server.url)
    yield laid
    laid.take_down()
