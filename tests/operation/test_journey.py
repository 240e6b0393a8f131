"""The whole of a planner's first hour, in a real browser on a real server with its worker: sign in, order, plan, stop,
post, read the board, open the launch list and the day sheet, print. Nothing stands in for anything."""

from __future__ import annotations

import re
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.operation.background import Folder, until
from tests.operation.test_serve import answers, free_port

PASSWORD = "the tide waits for nobody 27"
WAIT_MS = 120_000  # compiling or a slow machine; nothing here is about speed


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, str]]:
    """An example yard of 25 boats in January, served with its worker; the address, and a one-time password."""
    folder = Folder(tmp_path_factory.mktemp("journey"), settings="yard.settings")
    folder.run("migrate", "--verbosity", "0")
    folder.run("example", "--size", "S", "--day", "winter")
    password = folder.run("add_user", "jo", "--role", "planner", "--first-name", "Jo").splitlines()[1]
    port = free_port()
    folder.start("serve", "--port", str(port))
    address = f"http://localhost:{port}"
    until(lambda: answers(f"{address}/"), within_s=240, what="the site answers")
    yield address, password
    folder.kill_all()


@pytest.fixture
def desk(browser_thread: tuple[ThreadPoolExecutor, Any], served: tuple[str, str]) -> Iterator[Any]:
    """Runs `act(page)` in the browser's thread; the test fails if the console complained of anything."""
    thread, chromium = browser_thread
    context = thread.submit(lambda: chromium.new_context(viewport={"width": 1280, "height": 900})).result()
    page = thread.submit(context.new_page).result()
    complaints: list[str] = []

    def listen() -> None:
        page.set_default_timeout(WAIT_MS)
        page.on("console", lambda said: said.type == "error" and complaints.append(said.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))

    thread.submit(listen).result()
    yield lambda act: thread.submit(act, page).result()
    thread.submit(context.close).result()
    assert complaints == []


def test_from_signing_in_to_paper(desk: Any, served: tuple[str, str]) -> None:
    address, one_time = served
    desk(lambda page: sign_in(page, address, one_time))
    boat = desk(order_a_package)
    desk(plan_and_stop)
    desk(post)
    desk(lambda page: read_the_board(page, boat))
    for path in ("/launches/2027-05-03/", "/days/2027-05-11/"):  # the season of the example yard
        desk(lambda page, path=path: prints_on_one_page(page, address + path))


def sign_in(page: Any, address: str, one_time: str) -> None:
    page.goto(address)
    page.get_by_label("Name").fill("jo")
    page.get_by_label("Password").fill(one_time)
    page.get_by_role("button", name="Sign in").click()
    for field in page.locator("input[type=password]").all():
        field.fill(one_time if "current" in (field.get_attribute("autocomplete") or "") else PASSWORD)
    page.get_by_role("button", name="Set this password").click()
    page.get_by_role("heading", name="No plan is posted yet").wait_for()
    accessible(page)


def order_a_package(page: Any) -> str:
    """A sail to mend for the first boat on the list, wanted in May."""
    page.get_by_role("link", name="New order").click()
    boat = str(page.locator("#boats option").first.get_attribute("value"))
    page.get_by_label("Boat", exact=True).fill(boat)
    package = page.get_by_label("Package")
    package.select_option(index=1)
    page.get_by_role("heading", name=re.compile(r"\d+ jobs?")).wait_for()
    page.get_by_label(re.compile("Wanted")).fill("2027-05-20")
    accessible(page)
    page.get_by_role("button", name="Save the order").click()
    name = boat.split(" · ")[0].split(",")[0].split(" (")[0]
    page.get_by_role("heading", level=1, name=re.compile(f"for {re.escape(name)}")).wait_for()
    accessible(page)
    return name


def plan_and_stop(page: Any) -> None:
    page.get_by_role("link", name="Season").click()
    page.get_by_role("button", name="Plan the season").click()
    page.get_by_text(re.compile(r"Late")).first.wait_for()
    page.locator("dt:text-is('Late') + dd").filter(has_text=re.compile(r"\d")).wait_for()  # a first plan is there
    page.get_by_role("button", name="Stop and keep the best").click()
    page.get_by_role("link", name="Look at the draft").click()
    page.get_by_role("heading", level=1, name=re.compile("Draft")).wait_for()
    page.get_by_role("link", name="Check it now").click()
    page.get_by_text("No rule is broken.").wait_for()
    accessible(page)


def post(page: Any) -> None:
    page.get_by_role("button", name="Post this plan").click()
    page.get_by_role("link", name="Season").click()


def read_the_board(page: Any, boat: str) -> None:
    heading = page.get_by_role("heading", level=1)
    heading.filter(has_text=re.compile(r"^Plan 1\b")).wait_for()
    accessible(page)
    page.get_by_role("searchbox", name="Find a boat").fill(boat)
    page.locator("#board").get_by_text(boat).first.wait_for()


def prints_on_one_page(page: Any, address: str) -> None:
    page.goto(address)
    page.locator("main .boat").first.wait_for()  # there is something to print
    accessible(page)
    for size in ("A4", "Letter"):
        paper = page.pdf(format=size, prefer_css_page_size=False, landscape="/days/" in address)
        assert len(re.findall(rb"/Type\s*/Page\b", paper)) == 1, f"{address} on {size}"


def accessible(page: Any) -> None:
    serious = [
        (found["id"], found["nodes"][0]["html"][:200])
        for found in Axe().run(page).response["violations"]
        if found["impact"] in ("serious", "critical")
    ]
    assert serious == [], page.url
