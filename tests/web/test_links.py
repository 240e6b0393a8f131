"""The example yard walked through by its links, as a planner might: one page of each kind opens, no link leads nowhere.

It is also what asks the pages' queries of PostgreSQL, on rows as a yard has them.
"""

from __future__ import annotations

import re
from collections import Counter, deque
from html import unescape
from urllib.parse import urldefrag, urljoin, urlsplit

import pytest
from django.test import Client
from django.urls import Resolver404, resolve

from tests.web.made_creek import BACKEND

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("posted_in_january")]

LINK = re.compile(r"<a\b[^>]*?\bhref=\"([^\"]+)\"")
NOT_FOLLOWED = {"sign_out"}


def kind_of(address: str) -> str | None:
    """The name of the page behind an address; None for one that is not the site's."""
    try:
        return resolve(urlsplit(address).path).url_name
    except Resolver404:
        return None


def test_every_link_of_the_example_opens(cast, client: Client) -> None:
    client.force_login(cast.ada, BACKEND)
    seen: Counter[str] = Counter()
    found: dict[str, str] = {"/": "the beginning", "/more/": "the beginning"}
    waiting, wrong = deque(found), []
    while waiting:
        address = waiting.popleft()
        name = kind_of(address)
        if name is None:
            wrong.append(f"{address}, from {found[address]}: no page has this address")
            continue
        if seen[name] or name in NOT_FOLLOWED:
            continue
        seen[name] += 1
        answer = client.get(address, follow=True)
        if answer.status_code != 200:
            wrong.append(f"{address}, from {found[address]}: {answer.status_code}")
        elif answer.headers["Content-Type"].startswith("text/html"):
            for link in LINK.findall(answer.content.decode()):
                to = urldefrag(urljoin(address, unescape(link))).url
                if to.startswith("/") and not to.startswith("/static/") and to not in found:
                    found[to] = address
                    waiting.append(to)
    assert wrong == []
    assert len(seen) > 80, sorted(seen)
