"""Between the password and the code: who is half way in, kept in a session that opens nothing."""

from __future__ import annotations

import time
from typing import Any

from axes.handlers.proxy import AxesProxyHandler
from django.conf import settings
from django.contrib.auth.models import User
from django.contrib.auth.signals import user_login_failed
from django.http import HttpRequest
from django.utils.crypto import constant_time_compare

KEY = "second_step"


def begin(request: HttpRequest, account: User, *, next_page: str) -> None:
    """The password was right. The session gets a new key, as at a sign-in."""
    request.session.cycle_key()
    request.session[KEY] = {
        "account": account.pk,
        "hash": account.get_session_auth_hash(),
        "at": int(time.time()),
        "next": next_page,
    }


def whose(request: HttpRequest) -> User | None:
    """Whose code is awaited; None if nobody's, if it took too long, or if the password is another since."""
    begun: dict[str, Any] = request.session.get(KEY) or {}
    if not begun or time.time() - begun["at"] > settings.SECOND_STEP_S:
        return None
    account = User.objects.filter(pk=begun["account"], is_active=True).first()
    if account is None or not constant_time_compare(begun["hash"], account.get_session_auth_hash()):
        return None
    return account


def end(request: HttpRequest) -> str:
    """The code was right: gives the page to go on to."""
    return str(request.session.pop(KEY)["next"])


def is_locked(request: HttpRequest, account: User) -> bool:
    """Whether this name is locked from here; the middleware of axes then answers with the page that says so."""
    allowed = AxesProxyHandler.is_allowed(request, {"username": account.username})
    if not allowed:
        request.axes_locked_out = True  # type: ignore[attr-defined]  # read by axes' middleware
        request.axes_credentials = {"username": account.username}  # type: ignore[attr-defined]  # this too
    return not allowed


def refused(request: HttpRequest, account: User) -> None:
    """A wrong code counts as a wrong password does."""
    user_login_failed.send(sender=__name__, credentials={"username": account.username}, request=request)
