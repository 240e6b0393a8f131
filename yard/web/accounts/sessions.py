"""How long a sign-in lasts, and when the password is asked for again.

Idle: settings.SESSION_IDLE_S without a request; in all: settings.SESSION_COOKIE_AGE. The yard's clock may stand still
(the example yard); this one is the real one.
"""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, cast
from urllib.parse import urlencode

from axes.signals import user_locked_out
from django.conf import settings
from django.contrib.auth.models import User
from django.contrib.auth.signals import user_logged_in, user_logged_out, user_login_failed
from django.contrib.sessions.backends.base import SessionBase
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect, resolve_url
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.services.security_log import note_lock, say
from yard.services.sign_ins import CONFIRMED_AT, DEVICE, SEEN_AT, SIGNED_IN_AT
from yard.web.request import YardRequest

P = ParamSpec("P")
View = Callable[Concatenate[YardRequest, P], HttpResponseBase]
SEEN_EVERY_S = 3600
"""How finely it is kept when a session was last used: a row written once an hour, not at every page."""
BROWSERS = (("Edg", "Edge"), ("OPR", "Opera"), ("Firefox", "Firefox"), ("Chrom", "Chrome"), ("Safari", "Safari"))
MACHINES = (
    ("iPhone", gettext_lazy("an iPhone")),
    ("iPad", gettext_lazy("an iPad")),
    ("Android", "Android"),
    ("Windows", "Windows"),
    ("Mac OS", gettext_lazy("a Mac")),
    ("Linux", "Linux"),
)


def connect() -> None:
    """Sessions keep when they began, and the log who came and who was refused."""
    user_logged_in.connect(_came, dispatch_uid="yard.came")
    user_logged_out.connect(_went, dispatch_uid="yard.went")
    user_login_failed.connect(_refused, dispatch_uid="yard.refused")
    user_locked_out.connect(_locked, dispatch_uid="yard.locked")


def _came(sender: Any, request: HttpRequest, user: User, **kwargs: Any) -> None:
    now = int(time.time())
    request.session.update(
        {
            SIGNED_IN_AT: now,
            SEEN_AT: now,
            CONFIRMED_AT: now,
            DEVICE: device_words(request.META.get("HTTP_USER_AGENT", "")),
        }
    )
    say("signed in", account=user, by=user)


def _went(sender: Any, request: HttpRequest, user: User | None, **kwargs: Any) -> None:
    if user is not None:
        say("signed out", account=user, by=user)


def _refused(sender: Any, credentials: dict[str, Any], **kwargs: Any) -> None:
    """The name is told by its account alone: what was typed there may be a password."""
    name = str(credentials.get("username") or "")
    say("sign-in refused", account=User.objects.filter(username=name).first())


def _locked(sender: Any, username: str, **kwargs: Any) -> None:
    note_lock(username, now=timezone.now())


def device_words(agent: str) -> str:
    """Chrome on Android: enough to know one's own by, and no more of it is kept."""
    browser = next((name for sign, name in BROWSERS if re.search(rf"\b{sign}", agent)), _("a browser"))
    machine = next((name for sign, name in MACHINES if sign in agent), "")
    return _("{browser} on {machine}").format(browser=browser, machine=machine) if machine else browser


def is_over(session: SessionBase, now: float) -> bool:
    """Whether a session was not used for too long, or began too long ago. One without a beginning begins now."""
    began, seen = session.get(SIGNED_IN_AT), session.get(SEEN_AT)
    if began is None or seen is None:
        session[SIGNED_IN_AT] = session[SEEN_AT] = int(now)
        return False
    if now - began > settings.SESSION_COOKIE_AGE or now - seen > settings.SESSION_IDLE_S:
        return True
    if now - seen > SEEN_EVERY_S:
        session[SEEN_AT] = int(now)
    return False


def is_fresh(session: SessionBase, now: float) -> bool:
    return bool(now - session.get(CONFIRMED_AT, 0) <= settings.CONFIRMED_FOR_S)


def _page(name: str, arguments: dict[str, Any]) -> str:
    try:
        return reverse(name, kwargs=arguments)
    except NoReverseMatch:  # a page of all of them, as that of accounts
        return reverse(name)


def fresh(back: str | None = None, *, reading: bool = False) -> Callable[[View[P]], View[P]]:
    """Before a dangerous act the password is asked for again, unless that was less than a quarter of an hour ago.

    back: the page to come back to after a POST, by its name, with the view's own arguments where it takes them; None:
    this one. reading: GET asks too.
    """

    def door(view: View[P]) -> View[P]:
        @wraps(view)
        def guarded(request: YardRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
            asks = reading or request.method == "POST"
            if not asks or is_fresh(request.session, time.time()):
                return view(request, *args, **kwargs)
            where = request.path if back is None else _page(back, kwargs)
            return redirect(f"{resolve_url('confirm')}?{urlencode({'next': where})}")

        return cast("View[P]", guarded)

    return door
