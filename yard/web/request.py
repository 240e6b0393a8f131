"""A request as views get it: the middleware has said which yard it is for, what time it is there, what htmx asks."""

from __future__ import annotations

from datetime import datetime
from typing import cast
from uuid import UUID

from django.contrib.auth.models import User
from django.http import HttpRequest
from django_htmx.middleware import HtmxDetails

from yard.models import YardSettings


class YardRequest(HttpRequest):
    """What YardMiddleware and htmx's put on every request; a view that says `without_yard` has no yard and no clock.

    yard: its settings. yard_now: the yard's clock, aware.
    """

    yard: YardSettings
    yard_now: datetime
    htmx: HtmxDetails


def asks_for_part(request: YardRequest) -> bool:
    """Asked by htmx for a part, and not to bring back a page of its history."""
    return bool(request.htmx) and not request.htmx.history_restore_request


def form_key_in(text: str) -> UUID | None:
    """The key of a form as it was sent; None where there is none."""
    try:
        return UUID(text)
    except ValueError:
        return None


def number_in(text: str) -> int:
    """The key or the version of a row as it was sent; 0, which no row has, where it is none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0


def who(request: YardRequest) -> User:
    """Whoever is signed in: for views behind a door of `require`, which lets nobody else pass."""
    return cast(User, request.user)
