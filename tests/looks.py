"""What is asked of every page in a real browser: accessible in light and in dark, and no wider than the screen."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

DESK = {"width": 1280, "height": 900}
PHONE = {"width": 390, "height": 844}
NARROW = {"width": 320, "height": 640}
ONLY_CONTRAST = {"runOnly": ["color-contrast"]}
NO_CONTRAST = {"rules": {"color-contrast": {"enabled": False}}}
NOT_ON_A_DESK = "data-not-on-a-desk"
sizes = pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])


def faults(page: Any) -> list[str]:
    """What axe says of the page that is open with its folds unfolded: every rule in light, and contrast in dark.

    Colours are the same at every width, so that dark is looked at once, at the desk.
    """
    _unfold(page)
    found = _axe(page, {})
    if page.viewport_size["width"] >= DESK["width"]:
        page.emulate_media(color_scheme="dark")
        found += _axe(page, ONLY_CONTRAST)
        page.emulate_media(color_scheme="light")
    return _told(page, found)


def faults_at_every_size(page: Any) -> list[str]:
    """The same on a desk and on a phone, of one opened page.

    What differs between them is the style sheet's alone, so that the phone's contrast, three quarters of axe's time, is
    asked of what the desk does not show.
    """
    page.set_viewport_size(DESK)
    found = faults(page)
    page.evaluate(f"""document.querySelectorAll("body *").forEach(each => {{
        if (!each.getClientRects().length) {{ each.setAttribute("{NOT_ON_A_DESK}", ""); }} }})""")
    page.set_viewport_size(PHONE)
    on_phone = _axe(page, NO_CONTRAST)
    shown = f"[...document.querySelectorAll('[{NOT_ON_A_DESK}]')].some(each => each.getClientRects().length)"
    if page.evaluate(shown):
        on_phone += _axe(page, ONLY_CONTRAST, f"[{NOT_ON_A_DESK}]")
    return found + _told(page, on_phone)


def faults_but_contrast(page: Any, within: str = "html") -> list[str]:
    """The same but for contrast, three quarters of axe's time: for parts whose colours are asked for elsewhere."""
    _unfold(page)
    return _told(page, _axe(page, NO_CONTRAST, within))


def faults_of_main(page: Any) -> list[str]:
    return faults_but_contrast(page, "main")


def _unfold(page: Any) -> None:
    page.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
    page.emulate_media(color_scheme="light")
    page.evaluate(Axe().axe_script)


def _told(page: Any, found: list[dict[str, Any]]) -> list[str]:
    return [f"{page.url}: {fault['id']}: {fault['nodes'][0]['html'][:200]}" for fault in found] + too_wide(page)


def too_wide(page: Any) -> list[str]:
    """On a phone also at 320 px, where no page may scroll sideways (WCAG 2.2: 1.4.10)."""
    told = _wider(page)
    if not told and page.viewport_size == PHONE:
        page.set_viewport_size(NARROW)
        told = _wider(page)
        page.set_viewport_size(PHONE)
    return told


def _wider(page: Any) -> list[str]:
    by, wide = page.evaluate("[document.documentElement.scrollWidth - window.innerWidth, window.innerWidth]")
    return [f"{page.url}: wider than the screen of {wide} px by {by} px"] if by > 0 else []


def _axe(page: Any, options: dict[str, Any], within: str = "html") -> list[dict[str, Any]]:
    """Only what is wrong comes back: what is right fills megabytes."""
    asked = options | {"resultTypes": ["violations"]}
    run = "([within, options]) => axe.run(within, options).then(found => found.violations)"
    return page.evaluate(run, [within, asked])
