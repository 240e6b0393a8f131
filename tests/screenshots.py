"""The pictures of the README and of the help, taken from a served example yard so that they are never out of date.

    manage.py try_out                                       in one window
    python -m tests.screenshots NAME PASSWORD [--at URL] [--to FOLDER]

NAME and PASSWORD: as try_out prints them. Each picture is named by its page. Those of the help are the ones that
its topics ask for (yard/web/help/topics.py).
"""

from __future__ import annotations

import argparse
import io
import os
import shutil
from pathlib import Path
from typing import Any

from PIL import Image
from playwright.sync_api import Page, sync_playwright

from yard.web.help.topics import TOPICS

DESK, PHONE = {"width": 1280, "height": 800}, {"width": 390, "height": 844}
PAGES = {
    "season": "/",
    "launches": "/launches/",
    "day": "/days/",
}
ON_THE_PHONE = {"launches-phone": "/launches/"}
ROOT = Path(__file__).resolve().parents[1]
HELP = ROOT / "yard" / "static" / "yard" / "help"


def sign_in(page: Page, at: str, name: str, password: str) -> None:
    page.goto(f"{at}/sign-in/")
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{at}/")


def small(picture: bytes) -> Image.Image:
    """The picture in 64 colours: a few of them, and flat, so nothing is lost that an eye would miss."""
    return Image.open(io.BytesIO(picture)).convert("RGB").quantize(64, dither=Image.Dither.NONE)


def take(browser: Any, state: Any, at: str, pages: dict[str, str], viewport: dict[str, int], to: Path) -> None:
    context = browser.new_context(viewport=viewport, storage_state=state)
    page = context.new_page()
    for name, path in pages.items():
        page.goto(at + path)
        page.wait_for_load_state("networkidle")
        small(page.screenshot()).save(to / f"{name}.png", optimize=True)
        print(to / f"{name}.png")
    context.close()


def of_help(*, on_a_phone: bool) -> dict[str, str]:
    return {
        topic.key: topic.picture.path
        for topic in TOPICS.values()
        if topic.picture is not None and topic.picture.on_a_phone is on_a_phone
    }


def main() -> None:
    parser = argparse.ArgumentParser(description="Pictures of the pages of a served example yard.")
    parser.add_argument("name")
    parser.add_argument("password")
    parser.add_argument("--at", default="http://localhost:8000")
    parser.add_argument("--to", type=Path, default=ROOT / ".pictures")
    asked = parser.parse_args()
    asked.to.mkdir(parents=True, exist_ok=True)
    path = os.environ.get("YARD_CHROMIUM") or shutil.which("chromium")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        context = browser.new_context(viewport=DESK)
        sign_in(context.new_page(), asked.at, asked.name, asked.password)
        state = context.storage_state()
        take(browser, state, asked.at, PAGES, DESK, asked.to)
        take(browser, state, asked.at, ON_THE_PHONE, PHONE, asked.to)
        HELP.mkdir(exist_ok=True)
        take(browser, state, asked.at, of_help(on_a_phone=False), DESK, HELP)
        take(browser, state, asked.at, of_help(on_a_phone=True), PHONE, HELP)
        browser.close()


if __name__ == "__main__":
    main()
