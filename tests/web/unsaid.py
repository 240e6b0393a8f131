"""What pages say past gettext: the example yard walked through in a language whose every sentence stands in ⟦ ⟧.

Its numbers are written as in German, so that a “1,5” where a browser or a script reads a number is found too.

    python -m tests.web.unsaid [ADDRESS ...]
    python -m tests.web.unsaid --aside     # the pages of tests/web/aside_pages.py

Prints, page by page, the text and the heard attributes that stand outside the brackets and are no numbers, no units, no
values of the database and nothing that is allowed (tests/web/known_words.py); what differs by its numbers alone is told
once, on the first page that has it. Without addresses one page of each kind is opened, as the planner sees it. The
example is built anew each time, in a database of its own.
"""

from __future__ import annotations

import re
import sys
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from html import unescape
from html.parser import HTMLParser
from typing import Any
from urllib.parse import urldefrag, urljoin, urlsplit

from django.core.cache import cache
from django.test import Client
from django.urls import Resolver404, resolve
from django.utils import translation

from tests.web.known_words import WORD, Known, known_words

OPENS, CLOSES = "⟦", "⟧"
LINK = re.compile(r"<a\b[^>]*?\bhref=\"([^\"]+)\"")
NOT_FOLLOWED = {"sign_out"}
BEGIN = ("/", "/more/")
HEARD = ("aria-label", "aria-description", "title", "placeholder", "alt", "data-label")
SHOWN_BY_SCRIPTS = ("data-busy", "data-word", "data-what", "data-sure", "data-none", "data-unsaved")
INLINE = frozenset(
    {
        *("a", "abbr", "b", "br", "cite", "code", "em", "i", "kbd", "mark", "q", "s"),
        *("small", "span", "strong", "sub", "sup", "tspan", "u"),
    }
)
NOT_READ = frozenset({"script", "style", "textarea"})
OF_NUMBERS = frozenset(
    {
        *("x", "y", "x1", "x2", "y1", "y2", "cx", "cy", "r", "rx", "ry", "width", "height", "d", "points"),
        *("viewbox", "transform", "min", "max", "step", "data-px-per-min"),
    }
)
"""Attributes that no language may touch. `value` is one where a browser takes it for a number, or nobody reads it."""
COMMA = re.compile(r"\d,\d")
NUMBER = re.compile(r"-?\d+,\d+")


@dataclass(frozen=True)
class Opened:
    """One page of the walk; `found_on` is where its link stood, `text` is empty for what is no HTML."""

    name: str | None
    address: str
    found_on: str
    status: int
    text: str


@contextmanager
def all_marked() -> Iterator[None]:
    """Meanwhile all that goes through gettext stands in brackets; what is kept drawn is thrown away around it.

    The language is German, whose numbers have a comma.
    """
    said: dict[str, Callable[..., str]] = {
        "gettext": _in_brackets,
        "ngettext": lambda one, many, number: f"{OPENS}{one if number == 1 else many}{CLOSES}",
        "pgettext": _of_its_kind,
        "npgettext": lambda context, one, many, number: f"{OPENS}{one if number == 1 else many}{CLOSES}",
    }
    trans: Any = translation._trans  # type: ignore[attr-defined]  # the one door that gettext and its lazy forms share
    before = {name: getattr(trans, name) for name in said}
    cache.clear()
    vars(trans).update(said)
    try:
        with translation.override("de"):
            yield
    finally:
        vars(trans).update(before)
        cache.clear()


def _in_brackets(message: str) -> str:
    """Each paragraph for itself: a letter's words are one text, and are shown in pieces."""
    return "\n\n".join(f"{OPENS}{part}{CLOSES}" if part else "" for part in message.split("\n\n"))


def _of_its_kind(context: str, message: str) -> str:
    """A form of dates is said by what it forms: brackets in it would stand around the day's own."""
    return message if context == "date format" else f"{OPENS}{message}{CLOSES}"


def kind_of(address: str) -> str | None:
    """The name of the page behind an address; None for one that is not the site's."""
    try:
        return resolve(urlsplit(address).path).url_name
    except Resolver404:
        return None


def walk(client: Client, begin: Sequence[str] = BEGIN) -> Iterator[Opened]:
    """One page of each kind that links lead to, in the order in which they are found."""
    found, seen, waiting = dict.fromkeys(begin, "the beginning"), set(), deque(begin)
    while waiting:
        address = waiting.popleft()
        name = kind_of(address)
        if name is not None and (name in seen or name in NOT_FOLLOWED):
            continue
        if name is None:
            yield Opened(None, address, found[address], 404, "")
            continue
        seen.add(name)
        opened = open_one(client, address, found[address])
        yield opened
        for link in LINK.findall(opened.text):
            to = urldefrag(urljoin(address, unescape(link))).url
            if to.startswith("/") and not to.startswith("/static/") and to not in found:
                found[to] = address
                waiting.append(to)


def open_one(client: Client, address: str, found_on: str = "") -> Opened:
    answer = client.get(address, follow=True)
    html = answer.headers.get("Content-Type", "").startswith("text/html")
    return Opened(kind_of(address), address, found_on, answer.status_code, answer.content.decode() if html else "")


class Outside(HTMLParser):
    """Reads a page: `texts`, as far as they stand outside the brackets, heard attributes among them; `commas`, the
    attributes in which a number is written for people that a machine reads."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.texts: list[str] = []
        self.commas: list[str] = []
        self._block = ""
        self._unread = 0
        self.feed(html)
        self.close()
        self._end_block()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self._border(tag)
        if tag in NOT_READ:
            self._unread += 1
        button = tag == "input" and given.get("type") in ("submit", "button", "reset")
        counted = tag in ("progress", "meter") or given.get("type") in ("number", "range", "hidden")
        for name in (*OF_NUMBERS, *(("value",) if counted else ())):
            written = given.get(name, "")
            if NUMBER.fullmatch(written) if name == "value" else COMMA.search(written):
                self.commas.append(f"<{tag} name={given.get('name', '')} {name}={written[:40]}>")
        for name in (*HEARD, *SHOWN_BY_SCRIPTS, *(("value",) if button else ())):
            self.texts.extend(outside(given.get(name, "")))

    def handle_endtag(self, tag: str) -> None:
        self._border(tag)
        if tag in NOT_READ:
            self._unread -= 1

    def handle_data(self, data: str) -> None:
        if not self._unread:
            self._block += data

    def _border(self, tag: str) -> None:
        if tag in INLINE:
            self._block += " "
        else:
            self._end_block()

    def _end_block(self) -> None:
        self.texts.extend(outside(self._block))
        self._block = ""


@lru_cache(maxsize=512)
def read(html: str) -> Outside:
    """A page is asked for its texts and for its numbers."""
    return Outside(html)


def outside(text: str) -> list[str]:
    """The stretches of a text that stand in no brackets, without those that have no letter."""
    stretches, depth, begun = [], 0, 0
    for at, letter in enumerate(text):
        if letter == OPENS:
            if depth == 0:
                stretches.append(text[begun:at])
            depth += 1
        elif letter == CLOSES:
            depth = max(0, depth - 1)
            begun = at + 1
    if depth == 0:
        stretches.append(text[begun:])
    return [" ".join(each.split()) for each in stretches if WORD.search(each)]


def commas(html: str) -> list[str]:
    """Where a number is written for people and a machine reads it."""
    return read(html).commas


def unsaid(page: Opened, known: Known) -> list[str]:
    """What a page says past gettext, each once, in the page's order: the text, and in brackets which words of it."""
    left = {text: known.left_over(text, page.name or "") for text in read(page.text).texts}
    return [text if text == words else f"{text} [{words}]" for text, words in left.items() if words]


def _build_example() -> None:
    """The example yard, in a test's own database."""
    import os

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    import django

    django.setup()
    from django.conf import settings
    from django.db import connection
    from django.test.utils import setup_test_environment

    from tests import conftest

    setup_test_environment()
    conftest.pytest_configure()
    settings.MIGRATION_MODULES = dict.fromkeys([*settings.INSTALLED_APPS, "yard", "auth", "contenttypes"])
    connection.creation.create_test_db(verbosity=0, autoclobber=True)
    conftest._load_packages()
    conftest.build_january()
    conftest._post_in_january()


def _planner() -> Client:
    from django.contrib.auth.models import Group, User

    from tests.web.made_creek import BACKEND

    ada = User.objects.create_user("ada", first_name="Ada")
    ada.groups.add(Group.objects.get(name="planner"))
    client = Client()
    client.force_login(ada, BACKEND)
    return client


def _alike(text: str) -> str:
    return re.sub(r"\d+", "0", text)


def main(asked: Sequence[str]) -> int:
    _build_example()
    addresses = [each for each in asked if each != "--aside"]
    with all_marked():
        client = _planner()
        if "--aside" in asked:
            from tests.web.aside_pages import aside_pages

            pages = list(aside_pages())
        else:
            pages = [open_one(client, address) for address in addresses] or list(walk(client))
    found, known, told = 0, known_words(), set[str]()
    for page in pages:
        texts = [text for text in unsaid(page, known) if _alike(text) not in told]
        told |= {_alike(text) for text in texts}
        texts += [f"a comma in a machine's number: {each}" for each in commas(page.text)]
        found += len(texts)
        if texts or page.status != 200:
            print(f"{page.name}  {page.address}  ({page.status}): {len(texts)}")
            for text in texts:
                print(f"    {text[:200]}")
    print(f"{found} texts past gettext, on {len(pages)} pages.")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
