"""The cast, and a real browser that stays in a thread of its own."""

from __future__ import annotations

import gc
import os
import shutil
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import pytest

if TYPE_CHECKING:
    from tests.kept_rows import KeptRows

T = TypeVar("T")


def pytest_configure() -> None:
    """Put in what migrations put in: once for a database made without them (they take 20 s), and after each flush."""
    from django.db.models.signals import post_migrate

    post_migrate.connect(_roles_and_revision)


def pytest_collection_finish() -> None:
    """What stands now stands to the end, and need not be walked through at each collection of garbage."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what touches the database, and what drives a browser, by the fixtures that it asks for."""
    for item in items:
        asks_for = set(getattr(item, "fixturenames", ()))
        if item.get_closest_marker("django_db") or asks_for & {"db", "transactional_db", "live_server"}:
            item.add_marker(pytest.mark.database)
        if "browser_thread" in asks_for:
            item.add_marker(pytest.mark.browser)


def _roles_and_revision(sender: Any, **kwargs: Any) -> None:
    from django.apps import apps

    if sender.label == "yard":
        import_module("yard.migrations.0002_roles").add_roles(apps, None)


@dataclass(frozen=True)
class Cast:
    """Ada plans, Cy minds the office, Ben is of the crew, Dee may look."""

    ada: Any
    ben: Any
    cy: Any
    dee: Any


@pytest.fixture
def cast(db: None) -> Cast:
    from django.contrib.auth.models import Group, User

    def account(name: str, role: str) -> User:
        user = User.objects.create_user(name, password=f"{name}-knows-the-tide", first_name=name.title())
        user.groups.add(Group.objects.get(name=role))
        return user

    return Cast(
        ada=account("ada", "planner"),
        ben=account("ben", "crew"),
        cy=account("cy", "office"),
        dee=account("dee", "viewer"),
    )


@contextmanager
def rows_of_a_module(blocker: Any) -> Iterator[None]:
    """What is written inside is there for every test of one module, and is rolled back with it.

    Each test of the module stands in a savepoint of this transaction, so what it writes ends with the test.
    """
    from django.db import transaction

    with blocker.unblock(), transaction.atomic():
        yield
        transaction.set_rollback(True)


@pytest.fixture(scope="session")
def kept_rows(tmp_path_factory: pytest.TempPathFactory) -> KeptRows:
    from tests.kept_rows import KeptRows

    one_of_several = "PYTEST_XDIST_WORKER" in os.environ  # their folders stand side by side in the run's
    return KeptRows(tmp_path_factory.getbasetemp().parent / "kept rows" if one_of_several else None)


@pytest.fixture(scope="module")
def packages(django_db_setup: None, django_db_blocker: Any, kept_rows: KeptRows) -> Iterator[None]:
    """The work packages as they are shipped."""
    with rows_of_a_module(django_db_blocker):
        kept_rows.there("packages", _load_packages)
        yield


def _load_packages() -> None:
    from yard.services.packages import load_packages

    load_packages(Path(__file__).parent.parent / "fixtures" / "packages", now=datetime(2027, 1, 2, 14, tzinfo=UTC))


@pytest.fixture(scope="module")
def january(django_db_setup: None, django_db_blocker: Any, kept_rows: KeptRows) -> Iterator[None]:
    """The small example yard in January, nothing planned."""
    with rows_of_a_module(django_db_blocker):
        kept_rows.there("january", build_january)
        yield


def build_january() -> None:
    from yard.services.example_yard import build_example

    build_example("S", 1)


@pytest.fixture(scope="module")
def posted_in_january(january: None, kept_rows: KeptRows) -> Any:
    """The key of the plan that hangs on the wall of the small example yard in January."""
    return kept_rows.there("posted in january", _post_in_january)


def _post_in_january() -> int:
    from yard.models import YardSettings
    from yard.planning.plan import Planned
    from yard.planning.progress import Rounds
    from yard.planning.solve import solve
    from yard.services.read_problem import read_problem
    from yard.services.save_plan import Making, post_plan, save_plan

    clock = YardSettings.objects.get(pk=1).clock_frozen_at
    assert clock is not None
    read = read_problem(now=clock)
    found = solve(read.problem, stop=Rounds(60), workers=1, backend="numba")
    assert isinstance(found, Planned)
    making = Making(by=None, now=clock, seed=1)
    return post_plan(save_plan(read, found, making), by=None, now=clock).pk


@pytest.fixture(scope="module")
def may(django_db_setup: None, django_db_blocker: Any) -> Iterator[Any]:
    """The small example yard on its Thursday in May, the weeks before lived through; yields that moment."""
    from yard.models import YardSettings
    from yard.services.example_yard import build_example

    with rows_of_a_module(django_db_blocker):
        build_example("S", 1, "may", rounds=3000)
        yield YardSettings.objects.get().clock_frozen_at


PATIENCE_MS = 120_000
"""A browser's wait for what must come. Nothing here is about speed, and a busy machine is no fault of the page."""

BROWSERS = ("chromium-headless-shell", "chromium", "chromium-browser")
"""The first that is here: the shell is the same engine without the window around it, and takes half the CPU."""


@pytest.fixture(scope="session")
def browser_thread() -> Iterator[tuple[ThreadPoolExecutor, Any]]:
    """Chromium and the one thread that may speak to it.

    Playwright keeps an event loop in its thread, and Django's ORM refuses to work beside one; so all of the browser
    stays in this thread, and all of the ORM in the test's.
    """
    path = os.environ.get("YARD_CHROMIUM") or next(filter(None, map(shutil.which, BROWSERS)), None)
    if path is None:
        missing = "no chromium here: install chromium-headless-shell, or name one in YARD_CHROMIUM"
        if os.environ.get("CI"):
            pytest.fail(missing)  # where the tests decide, they do not pass by being left out
        pytest.skip(missing)  # on a contributor's machine alone
    from playwright.sync_api import expect, sync_playwright

    expect.set_options(timeout=PATIENCE_MS)
    with ThreadPoolExecutor(1, thread_name_prefix="browser") as thread:
        playwright = thread.submit(lambda: sync_playwright().start()).result()
        # No name leads off this machine. A route that looks at each request would say so too, but it would put out the
        # browser's own cache, which people have.
        nowhere = "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE localhost, EXCLUDE 127.0.0.1"
        options = {"executable_path": path, "args": ["--no-sandbox", "--disable-dev-shm-usage", nowhere]}
        chromium = thread.submit(lambda: playwright.chromium.launch(**options)).result()
        yield thread, chromium
        thread.submit(chromium.close).result()
        thread.submit(playwright.stop).result()


@dataclass
class Browser:
    """A fresh browser on the live server. `complaints`: what its console said is wrong, as a breach of the CSP."""

    url: str
    thread: ThreadPoolExecutor
    context: Any
    page: Any
    complaints: list[str] = field(default_factory=list)

    def ui(self, action: Callable[[Any], T]) -> T:
        """Run `action(page)` in the browser's thread."""
        return self.thread.submit(action, self.page).result()

    def open(self, path: str) -> None:
        self.ui(lambda page: page.goto(self.url + path))

    def sign_in(self, user: Any) -> None:
        """Signed in without the form: the session's cookie is put there."""
        from django.conf import settings
        from django.test import Client

        client = Client()
        client.force_login(user, "yard.web.access.RoleBackend")
        value = client.cookies[settings.SESSION_COOKIE_NAME].value
        cookie = {"name": settings.SESSION_COOKIE_NAME, "value": value, "url": self.url}
        self.thread.submit(self.context.add_cookies, [cookie]).result()


@pytest.fixture
def new_browser(browser_thread: tuple[ThreadPoolExecutor, Any], live_server: Any) -> Iterator[Callable[..., Browser]]:
    """`new_browser(viewport={"width": 390, "height": 844}, locale="de-DE")`: a browser with options of its own."""
    thread, chromium = browser_thread
    opened: list[Browser] = []

    def start(**options: Any) -> Browser:
        context = thread.submit(lambda: chromium.new_context(**options)).result()
        page = thread.submit(context.new_page).result()
        browser = Browser(live_server.url, thread, context, page)

        def listen() -> None:
            page.set_default_timeout(PATIENCE_MS)
            page.on("console", lambda said: said.type == "error" and browser.complaints.append(said.text))
            page.on("pageerror", lambda error: browser.complaints.append(str(error)))

        thread.submit(listen).result()
        opened.append(browser)
        return browser

    yield start
    for browser in opened:
        thread.submit(browser.context.close).result()


@pytest.fixture
def browser(new_browser: Callable[..., Browser]) -> Iterator[Browser]:
    """A browser as on a desk. The test fails if its console complained."""
    started = new_browser()
    yield started
    assert started.complaints == []
