"""What every page is asked finds what is wrong with a made page: at the desk, in the dark, and on the phone alone."""

from __future__ import annotations

from typing import Any

import pytest

from tests.conftest import Browser
from tests.looks import faults_at_every_size

pytestmark = pytest.mark.django_db(transaction=True)
PAGE = """<html lang="en"><title>Made</title><style>
body {{ color: #111; background: #fff }} .phone {{ display: none }}
@media (prefers-color-scheme: dark) {{ body {{ color: #eee; background: #111 }} }}
@media (max-width: 600px) {{ .phone {{ display: block }} }}
{style}</style><main><h1>Made</h1><p class="phone">On a phone alone.</p><p class="all">Everywhere.</p></main>"""


@pytest.mark.parametrize(
    ("style", "found"),
    [
        ("", []),
        (".all { color: #ccc; background: #fff }", ["color-contrast", "color-contrast"]),
        ("@media (prefers-color-scheme: dark) { .all { color: #333 } }", ["color-contrast"]),
        (".phone { color: #ccc; background: #fff }", ["color-contrast"]),
        ("@media (max-width: 600px) { .all { width: 1000px } }", ["wider than the screen of 390 px by"]),
        ("@media (max-width: 350px) { .all { width: 1000px } }", ["wider than the screen of 320 px by"]),
    ],
    ids=["nothing", "at the desk", "in the dark", "on the phone", "too wide on the phone", "too wide at 320 px"],
)
def test_found(transactional_db: None, browser: Browser, style: str, found: list[str]) -> None:
    def look(page: Any) -> list[str]:
        page.set_content(PAGE.format(style=style))
        return faults_at_every_size(page)

    told = browser.ui(look)
    assert len(told) == len(found)
    assert all(words in each for words, each in zip(found, told, strict=True))
