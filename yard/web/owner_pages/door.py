"""The door of an owner's page: a private address, asked for not too often; a wrong one tells nothing."""

from __future__ import annotations

import hashlib

from django.core.cache import cache
from django.http import HttpResponse
from django.utils.translation import gettext as _

from yard.web.access import client_ip
from yard.web.request import YardRequest

WINDOW_S = 300
MOST_OF_A_PAGE = 120
"""One page, five minutes: nobody reads it so often."""
MOST_UNKNOWN = 20
"""Wrong addresses from one machine, five minutes: who mistypes does so twice."""


def asks_too_often(token: str) -> bool:
    """Counted in this process's memory, by the token's hash."""
    digest = hashlib.sha256(token.encode("utf-8", "backslashreplace")).hexdigest()
    return _count(f"owner-page-{digest}") > MOST_OF_A_PAGE


def guesses_too_often(request: YardRequest) -> bool:
    return _count(f"owner-page-unknown-{client_ip(request)}") > MOST_UNKNOWN


def _count(key: str) -> int:
    cache.add(key, 0, WINDOW_S)
    try:
        return int(cache.incr(key))
    except ValueError:  # it ran out between the two
        return 0


def too_often() -> HttpResponse:
    answer = HttpResponse(_("This page is asked for too often."), status=429, content_type="text/plain; charset=utf-8")
    answer.headers["Retry-After"] = str(WINDOW_S)
    return answer


def unseen(answer: HttpResponse) -> HttpResponse:
    """No copy is kept on the way, and no search engine lists it."""
    answer.headers["Cache-Control"] = "private, no-store"
    answer.headers["X-Robots-Tag"] = "noindex, nofollow"
    return answer
