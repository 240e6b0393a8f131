"""The whole of a planner's first hour, in a real browser on a real server with its worker: `manage.py serve` on an
empty folder, sign in, order, plan, stop, post, read the board, open the launch list and the day sheet, print; then a
worker that is killed, and the end of all. Nothing stands in for anything."""

from __future__ import annotations

import os
import re
import subprocess
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any

import httpx
import pytest

from tests.looks import faults_but_contrast
from tests.operation.background import Folder, children, command_of, end, said, until
from tests.operation.test_plan_process import gone
from tests.operation.test_serve import answers, free_port

PASSWORD = "the tide waits for nobody 27"
WAIT_MS = 120_000  # compiling or a slow machine; nothing here is about speed


@dataclass
class Served:
    folder: Folder
    process: subprocess.Popen[str]
    port: int

    @property
    def address(self) -> str:
        return f"http://localhost:{self.port}"

    def other(self, word: str, than: int = 0) -> int:
        """The child with that word in its command line; 0 if there is none."""
        found = [child for child in children(self.process.pid) if word in command_of(child) and child != than]
        return found[0] if found else 0


@pytest.fixture
def served(tmp_path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Served]:
    """A yard served from a folder that did not exist before."""
    monkeypatch.delenv("YARD_PLAIN_STATIC", raising=False)
    folder = Folder(tmp_path / "data", settings="yard.settings")
    port = free_port()
    served = Served(folder, folder.start("serve", "--port", str(port)), port)
    until(lambda: answers(f"{served.address}/"), within_s=600, what="the site answers")
    yield served
    folder.kill_all()


@pytest.fixture
def desk(browser_thread: tuple[ThreadPoolExecutor, Any]) -> Iterator[Any]:
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


def test_from_an_empty_folder_to_paper_and_the_end(desk: Any, served: Served) -> None:
    styles_carry_their_contents(served)
    nobody_serves_twice(served)

    served.folder.run("example", "--size", "S", "--day", "winter")
    one_time = served.folder.run("add_user", "jo", "--role", "planner", "--first-name", "Jo").splitlines()[1]
    desk(lambda page: sign_in(page, served.address, one_time))
    boat = desk(order_a_package)
    desk(plan_and_stop)
    desk(post)
    desk(lambda page: read_the_board(page, boat))
    for path in ("/launches/2027-05-03/", "/days/2027-05-11/"):  # the season of the example yard
        desk(lambda page, path=path: prints_on_one_page(page, served.address + path))

    a_killed_worker_is_started_again(served)
    ends_with_all_its_children(served)


def styles_carry_their_contents(served: Served) -> None:
    page = httpx.get(f"{served.address}/sign-in/", trust_env=False)
    style = re.search(r'href="(/static/yard/page\.[0-9a-f]+\.css)"', page.text)
    assert page.status_code == 200
    assert style is not None, "static files are collected, and their names carry their contents"
    assert httpx.get(served.address + style.group(1), trust_env=False).status_code == 200


def nobody_serves_twice(served: Served) -> None:
    again = served.folder.start("serve", "--port", str(served.port))
    assert "try another with --port" in said(again)
    assert again.returncode == 1


def a_killed_worker_is_started_again(served: Served) -> None:
    worker = served.other(" worker")
    os.kill(worker, 9)
    until(lambda: served.other(" worker", than=worker))


def ends_with_all_its_children(served: Served) -> None:
    web = served.other("gunicorn")
    everybody = [web, *children(web), *children(served.process.pid)]
    text = end(served.process)
    assert served.process.returncode == 0
    assert all(gone(pid) for pid in everybody)
    assert "Bringing the database up to date" in text
    assert "Nobody can sign in yet. In another window: manage.py add_user NAME --role planner" in text
    assert f"Yard is at {served.address}/ (Ctrl-C ends it)" in text
    assert "The background worker ended (code -9); again in 1 s" in text
    assert text.rstrip().endswith("Ended.")


def sign_in(page: Any, address: str, one_time: str) -> None:
    page.goto(address)
    page.get_by_label("Name").fill("jo")
    page.get_by_label("Password").fill(one_time)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("button", name="Set this password").wait_for()
    for field in page.locator("input[type=password]").all():
        field.fill(one_time if "current" in (field.get_attribute("autocomplete") or "") else PASSWORD)
    page.get_by_role("button", name="Set this password").click()
    page.get_by_role("heading", name="No plan is posted yet").wait_for()
    accessible(page)


def order_a_package(page: Any) -> str:
    """A sail to mend for the first boat on the list, wanted in May."""
    page.get_by_role("link", name="New order").click()
    boat = str(page.locator("#boats option").first.get_attribute("value"))
    page.wait_for_load_state("load")  # the script asks for the jobs as soon as a package is chosen
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
    assert faults_but_contrast(page) == []
