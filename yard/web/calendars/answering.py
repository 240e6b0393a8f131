"""The answer to a calendar client: 200, 304, 404, 410 or 429; never a page, a cookie or a redirect."""

from __future__ import annotations

import hashlib

from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.translation import gettext as _

from yard.services.feeds.reading import Gone, Readable, Unknown, find_feed, write_body

CONTENT_TYPE = "text/calendar; charset=utf-8"
MOST_IN_A_WINDOW, WINDOW_S = 60, 300
"""One address, five minutes: no client asks so often unless it is broken."""


def answer_feed(request: HttpRequest, token: str) -> HttpResponse:
    """At most three queries where nothing changed, and nothing is put together then."""
    response = _too_often(token) or _answer(request, token)
    response.headers["Cache-Control"] = "private, no-cache"
    response.headers["X-Robots-Tag"] = "noindex"
    return response


def _answer(request: HttpRequest, token: str) -> HttpResponse:
    agent = request.headers.get("User-Agent", "")
    match find_feed(token, real_now=timezone.now(), user_agent=agent):
        case Unknown():
            return _words(_("There is no such calendar."), 404)
        case Gone():
            return _words(_("This calendar has been withdrawn."), 410)
        case Readable() as found:
            return _unchanged(request, found.tag) or _whole(request, found)


def _unchanged(request: HttpRequest, tag: str) -> HttpResponse | None:
    """304, or 412, where the client's conditions say so."""
    asks = "If-None-Match" in request.headers or "If-Match" in request.headers
    if not tag or not asks:
        return None
    response = get_conditional_response(request, etag=tag)
    if isinstance(response, HttpResponse):
        response.headers["ETag"] = tag
        return response
    return None


def _whole(request: HttpRequest, found: Readable) -> HttpResponse:
    tag, body = write_body(found)
    if (unchanged := _unchanged(request, tag)) is not None:
        return unchanged
    response = HttpResponse(body, content_type=CONTENT_TYPE)
    response.headers["ETag"] = tag
    response.headers["Content-Disposition"] = 'inline; filename="yard.ics"'
    return response


def _words(text: str, status: int) -> HttpResponse:
    return HttpResponse(text, status=status, content_type="text/plain; charset=utf-8")


def _too_often(token: str) -> HttpResponse | None:
    """Counted in this process's memory, by the token's hash."""
    key = f"calendar-{hashlib.sha256(token.encode('utf-8', 'backslashreplace')).hexdigest()}"
    cache.add(key, 0, WINDOW_S)
    try:
        count = cache.incr(key)
    except ValueError:  # it ran out between the two
        return None
    if count <= MOST_IN_A_WINDOW:
        return None
    response = _words(_("This calendar is asked for too often."), 429)
    response.headers["Retry-After"] = str(WINDOW_S)
    return response
