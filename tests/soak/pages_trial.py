"""Every address of the site with questions that make no sense, and every form with answers that make none.

The pages are found by their links and forms, one of each kind; what a view asks of an address or a form is noted while
it is asked, so that no list of names is kept here.
"""

from __future__ import annotations

import random
import re
import traceback
from collections import deque
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from html import unescape
from typing import Any
from unittest import mock
from urllib.parse import urldefrag, urlencode, urljoin, urlsplit

from django.db import transaction
from django.http import QueryDict
from django.test import Client
from django.urls import Resolver404, resolve

from tests.soak.limits import TooLong, at_most
from tests.soak.wild import CELLS
from tests.web.form_reading import PageForms

MOST_CPU_S = 8.0
"""For one answer; the first that compares all tides of a season is the dearest."""
LINK = re.compile(r"<a\b[^>]*?\bhref=\"([^\"]+)\"")
LEFT_OUT = {"sign_out", "sign_in", "change_password", "account_new_password"}
"""What would sign this browser out."""
WILD = [*CELLS, "-1", "0", "1", "2", "99999999999999999999", "2027-05-06", "2027-13-01", "0001-01-01", "9999-12-31"]
WILD += ["1,2,3", "[]", "{}", "true", "on", "--name", "name", "all", "-pk", "x__y", "24:00", "12:61", "00:00", "boat:1"]
WILD += ["boat:x", "mooring:999999", "place:٣", "00000000-0000-0000-0000-000000000000", "2027-W53", "csv", "1e3", "+5"]


class Found:
    """One address of each kind of page; the names its view asked for; its forms."""

    def __init__(self) -> None:
        self.pages: dict[str, str] = {}
        self.asked: dict[str, set[str]] = {}
        self.forms: dict[str, tuple[str, dict[str, list[str]]]] = {}


@contextmanager
def noted(into: set[str]) -> Iterator[None]:
    """Every key that is asked of a query or a form's body meanwhile."""
    find = QueryDict.__getitem__, QueryDict.getlist, QueryDict.get, QueryDict.__contains__

    def noting(own: Any) -> Any:
        def ask(self: QueryDict, key: Any, *more: Any, **named: Any) -> Any:
            if isinstance(key, str):
                into.add(key)
            return own(self, key, *more, **named)

        return ask

    names = ("__getitem__", "getlist", "get", "__contains__")
    with mock.patch.multiple(QueryDict, **{name: noting(own) for name, own in zip(names, find, strict=True)}):
        yield


def kind_of(address: str) -> str | None:
    try:
        return resolve(urlsplit(address).path).url_name
    except Resolver404:
        return None


def walk(client: Client, begin: Sequence[str] = ("/", "/more/"), most: int = 1_000) -> Found:
    """One page of each kind that links lead to, at most so many, with its forms."""
    found, seen, waiting = Found(), set(begin), deque(begin)
    while waiting and len(found.pages) < most:
        address = waiting.popleft()
        name = kind_of(address)
        if name is None or name in found.pages or name in LEFT_OUT:
            continue
        with noted(found.asked.setdefault(name, set())):
            answer = client.get(address)
        if answer.status_code in (301, 302):
            waiting.append(answer.headers["Location"])
        if answer.status_code != 200:
            continue
        found.pages[name] = address
        if not answer.headers["Content-Type"].startswith("text/html"):
            continue
        text = answer.content.decode()
        for form in PageForms(text).forms:
            to = urljoin(address, form.attrs.get("action", "") or address)
            sent = {each.name: [each.value] for each in form.fields if each.name}
            if form.posts and (whose := kind_of(to)) and whose not in LEFT_OUT:
                found.forms.setdefault(f"{whose} {','.join(sorted(sent))}", (to, sent))
        for link in LINK.findall(text):
            to = urldefrag(urljoin(address, unescape(link))).url
            if to.startswith("/") and not to.startswith("/static/") and to not in seen:
                seen.add(to)
                waiting.append(to)
    return found


def try_addresses(client: Client, found: Found, numbers: Sequence[int]) -> Iterator[str]:
    """Questions behind a question mark: what the view asks for, with values that it cannot expect."""
    names = sorted(found.pages)
    for number in numbers:
        chance, name = random.Random(number), names[number % len(names)]
        path = urlsplit(found.pages[name]).path
        keys = sorted(found.asked[name]) or ["page"]
        asked = [(key, chance.choice(WILD)[:2000]) for key in chance.choices(keys, k=chance.randint(1, 4))]
        query = urlencode(asked, errors="surrogatepass")
        if chance.random() < 0.1:
            query += chance.choice(["&%zz=%", "&=&&", "&" + "a=1&" * 900, "&%00=%00", "&page=1;page=2", "?%ff%fe"])
        htmx = {"HX-Request": "true"} if chance.random() < 0.2 else {}
        with noted(found.asked[name]):
            wrong = answered(client, "GET", f"{path}?{query}", None, htmx)
        if wrong:
            yield f"address {number} ({name}) {path}?{query[:300]}: {wrong}"


def try_forms(client: Client, found: Found, numbers: Sequence[int]) -> Iterator[str]:
    """Forms sent with a field or more that nobody would fill in so; what each wrote is taken back."""
    names = sorted(found.forms)
    for number in numbers:
        chance, name = random.Random(number), names[number % len(names)]
        to, fields = found.forms[name]
        sent = {key: list(values) for key, values in fields.items()}
        for key in chance.sample(sorted(sent), min(len(sent), chance.choice([1, 1, 2, 3, 99]))):
            if chance.random() < 0.12:
                del sent[key]
            else:
                sent[key] = [chance.choice(WILD) for _ in range(chance.choice([1, 1, 1, 2]))]
        wrong = answered(client, "POST", to, sent, {})
        if wrong:
            yield f"form {number} ({name[:80]}) {to} {str(sent)[:400]}: {wrong}"


def answered(client: Client, method: str, to: str, sent: Any, headers: dict[str, str]) -> str:
    """What went wrong, "" where a page, a refusal or a way on was answered. What was written is taken back."""
    try:
        with at_most(MOST_CPU_S), transaction.atomic():
            try:
                answer = client.get(to, headers=headers) if method == "GET" else client.post(to, sent, headers=headers)
            finally:
                transaction.set_rollback(True)
    except TooLong as error:
        return str(error)
    except Exception:  # whatever it is: no page may fail in any way
        return traceback.format_exc(limit=-4)
    return "" if answer.status_code < 500 else f"answered {answer.status_code}"
