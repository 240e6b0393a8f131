"""What is asked of every page in a real browser: accessible in light and in dark, and no wider than the screen."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

DESK = {"width": 1280, "height": 900}
PHONE = {"width": 390, "height": 844}
sizes = pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])


def faults(page: Any) -> list[str]:
    """What axe says of the page that is open with its folds unfolded: every rule in light, and contrast in dark.

    Colours are the same at every width, so that dark is looked at once, at the desk.
    """
    page.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
    page.emulate_media(color_scheme="light")
    page.evaluate(Axe().axe_script)
    found = _axe(page, {})
    if page.viewport_size["width"] >= DESK["width"]:
        page.emulate_media(color_scheme="dark")
        found += _axe(page, {"runOnly": ["color-contrast"]})
        page.emulate_media(color_scheme="light")
    told = [f"{page.url}: {fault['id']}: {fault['nodes'][0]['html'][:200]}" for fault in found]
    too_wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    if too_wide > 0:
        told.append(f"{page.url}: wider than the screen by {too_wide} px")
    return told


def faults_at_every_size(page: Any) -> list[str]:
    """The same on a desk and on a phone, of one opened page: what differs between them is the style sheet's alone."""
    page.set_viewport_size(DESK)
    found = faults(page)
    page.set_viewport_size(PHONE)
    return found + faults(page)


def _axe(page: Any, options: dict[str, Any]) -> list[dict[str, Any]]:
    """Only what is wrong comes back: what is right fills megabytes."""
    asked = options | {"resultTypes": ["violations"]}
    return page.evaluate("options => axe.run(options).then(found => found.violations)", asked)
