"""What pages say past gettext: the example yard walked through in a language whose every sentence stands in ⟦ ⟧.

Its numbers are written as in German, so that a “1,5” where a browser or a script reads a number is found too.

    python -m tests.web.unsaid [ADDRESS ...]
    python -m tests.web.unsaid --keep      # what is past gettext now is all that may be, from here on

Prints, page by page, the text and the heard attributes that stand outside the brackets and are no numbers, no units and
no values of the database; what differs by its numbers alone is told once, on the first page that has it. Without
addresses one page of each kind is opened, as the planner sees it. The example is built anew each time, in a database of
its own.
"""

from __future__ import annotations

import json
import re
import sys
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from urllib.parse import urldefrag, urljoin, urlsplit

from django.core.cache import cache
from django.test import Client
from django.urls import Resolver404, resolve
from django.utils import translation

OPENS, CLOSES = "⟦", "⟧"
LINK = re.compile(r"<a\b[^>]*?\bhref=\"([^\"]+)\"")
NOT_FOLLOWED = {"sign_out"}
BEGIN = ("/", "/more/")
ALLOWED = Path(__file__).with_name("unsaid_allowed.json")
"""How many texts past gettext a kind of page may have: what is not done yet. A kind that is not in it has none."""

HEARD = ("aria-label", "aria-description", "title", "placeholder", "alt", "data-label")
SHOWN_BY_SCRIPTS = ("data-busy", "data-word", "data-what", "data-sure", "data-none", "data-unsaved")
INLINE = frozenset(
    {
        *("a", "abbr", "b", "br", "cite", "code", "em", "i", "kbd", "mark", "q", "s"),
        *("small", "span", "strong", "sub", "sup", "tspan", "u"),
    }
)
NOT_READ = frozenset({"script", "style", "textarea"})
UNITS = frozenset(
    {
        *("m", "km", "cm", "mm", "ft", "in", "nm", "kn", "yd", "sq"),
        *("h", "min", "s", "d", "utc"),
        *("kg", "lb", "t", "l", "ml", "kb", "mb", "hpa"),
    }
)
OF_NUMBERS = frozenset(
    {
        *("x", "y", "x1", "x2", "y1", "y2", "cx", "cy", "r", "rx", "ry", "width", "height", "d", "points"),
        *("viewbox", "transform", "min", "max", "step", "data-px-per-min"),
    }
)
"""Attributes that no language may touch. `value` is one where a browser takes it for a number, or nobody reads it."""
COMMA = re.compile(r"\d,\d")
NUMBER = re.compile(r"-?\d+,\d+")
PLACEHOLDER = re.compile(r"\$[a-z_]+,?")  # of a yard's own letter: a name that a program reads
WORD = re.compile(r"[^\W\d_]{2,}")
TOKEN = re.compile(r"\S+")
LONGEST_VALUE = 14
"""In words: longer values of the database are looked for as whole texts alone."""


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
        "gettext": lambda message: f"{OPENS}{message}{CLOSES}" if message else "",
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


def left_over(text: str, values: frozenset[str]) -> str:
    """The words of a stretch that are neither values of the database, nor numbers, nor units; "" for none."""
    if text in values:
        return ""
    tokens, kept, at = TOKEN.findall(text), [], 0
    while at < len(tokens):
        ends = range(min(len(tokens), at + LONGEST_VALUE), at, -1)
        end = next((end for end in ends if _is_value(tokens[at:end], values)), None)
        if end is None:
            word = _bare(tokens[at])
            if WORD.search(word) and word.lower() not in UNITS and not PLACEHOLDER.fullmatch(tokens[at]):
                kept.append(tokens[at])
        at = end or at + 1
    return " ".join(kept)


def _is_value(tokens: Sequence[str], values: frozenset[str]) -> bool:
    said = " ".join(tokens)
    return said in values or _bare(said) in values


def _bare(text: str) -> str:
    return text.strip(" .,:;()·–—…“”\"'?!/+-×%0123456789")


def stored_values() -> frozenset[str]:
    """What people and the tool have written into rows: texts, but none that is a choice, and no machine's words."""
    from django.apps import apps
    from django.db import models

    found: set[str] = set()
    for model in apps.get_models():
        if model.__name__.startswith("Historical"):
            continue
        names = [
            field.attname
            for field in model._meta.concrete_fields
            if isinstance(field, models.CharField | models.TextField | models.JSONField) and not field.choices
        ]
        for row in model._default_manager.values_list(*names).iterator() if names else ():
            for text in _texts_in(row):
                found |= {" ".join(text.split()), _bare(text), *(" ".join(line.split()) for line in text.splitlines())}
    return frozenset(found)


def _texts_in(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        yield from _texts_in(list(value.values()))
    elif isinstance(value, list | tuple):
        for each in value:
            yield from _texts_in(each)


def commas(html: str) -> list[str]:
    """Where a number is written for people and a machine reads it."""
    return Outside(html).commas


def unsaid(html: str, values: frozenset[str]) -> list[str]:
    """What a page says past gettext, each once, in the page's order."""
    left = ((text, left_over(text, values)) for text in Outside(html).texts)
    return list(dict.fromkeys(text for text, words in left if words))


def allowed() -> dict[str, int]:
    return dict(json.loads(ALLOWED.read_text(encoding="utf-8"))) if ALLOWED.exists() else {}


def _built_example() -> Client:
    """A planner in the example yard, in a test's own database."""
    import os

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    import django

    django.setup()
    from django.conf import settings
    from django.contrib.auth.models import Group, User
    from django.db import connection
    from django.test.utils import setup_test_environment

    from tests import conftest
    from tests.web.made_creek import BACKEND

    setup_test_environment()
    conftest.pytest_configure()
    settings.MIGRATION_MODULES = dict.fromkeys([*settings.INSTALLED_APPS, "yard", "auth", "contenttypes"])
    connection.creation.create_test_db(verbosity=0, autoclobber=True)
    conftest._load_packages()
    conftest.build_january()
    conftest._post_in_january()
    ada = User.objects.create_user("ada", first_name="Ada")
    ada.groups.add(Group.objects.get(name="planner"))
    client = Client()
    client.force_login(ada, BACKEND)
    return client


def _alike(text: str) -> str:
    return re.sub(r"\d+", "0", text)


def main(addresses: Iterable[str]) -> int:
    client = _built_example()
    given = [address for address in addresses if address != "--keep"]
    found = 0
    with all_marked():
        pages = (open_one(client, address) for address in given) if given else walk(client)
        said = [(page, page.text) for page in pages]
    values, told = stored_values(), set[str]()
    for page, html in said:
        texts = [text for text in unsaid(html, values) if _alike(text) not in told]
        told |= {_alike(text) for text in texts}
        texts += [f"a comma in a machine's number: {each}" for each in commas(html)]
        found += len(texts)
        if texts or page.status != 200:
            print(f"{page.name}  {page.address}  ({page.status}): {len(texts)}")
            for text in texts:
                print(f"    {text[:200]}")
    if "--keep" in sys.argv and not given:
        counted = {str(page.name): len(unsaid(html, values)) for page, html in said}
        kept = {name: number for name, number in sorted(counted.items()) if number}
        ALLOWED.write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")
    print(f"{found} texts past gettext, on {len(said)} pages.")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
