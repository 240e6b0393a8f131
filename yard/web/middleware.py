"""What every request goes through: sign-in, the gate of closed seasons, and the yard's clock and zone.

What is asked of whoever is signed in, as a second factor, is `yard.web.accounts.middleware`.
"""

from __future__ import annotations

import zoneinfo
from collections.abc import Callable
from contextlib import suppress
from typing import Any, cast
from urllib.parse import urlsplit

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.db import OperationalError
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect, resolve_url
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext as _
from django_htmx.http import HttpResponseClientRedirect

from yard.models import SeasonClosed, YardSettings
from yard.queries.clock import yard_clock
from yard.services.whole_change.sale_to_come import carry_out_due, is_due
from yard.web.request import YardRequest

GetResponse = Callable[[HttpRequest], HttpResponseBase]
PERMISSIONS_POLICY = "camera=(), geolocation=(), microphone=(), payment=(), usb=()"


class SignInMiddleware(LoginRequiredMiddleware):
    """Sends whoever is not signed in to sign in, and afterwards to a page that can be shown.

    A part that htmx asked for is no page, and what was sent with POST is not sent again. Where nobody need sign in,
    it is not asked who is there: that would read a session, and make the answer depend on its cookie.
    """

    def process_view(
        self, request: HttpRequest, view_func: Callable[..., Any], view_args: Any, view_kwargs: Any
    ) -> HttpResponseBase | None:
        if not getattr(view_func, "login_required", True):
            return None
        return super().process_view(request, view_func, view_args, view_kwargs)

    def handle_no_permission(  # type: ignore[override]  # a part that htmx asked for is answered, not redirected
        self, request: HttpRequest, view_func: Callable[..., Any]
    ) -> HttpResponseBase:
        response = redirect_to_login(page_to_come_back_to(request), resolve_url(settings.LOGIN_URL))
        return HttpResponseClientRedirect(response.url) if _is_htmx(request) else response


class ClosedSeasonMiddleware:
    """Whoever tries to change a row of a closed season reads why not, on the page that they came from.

    Most pages say so themselves; this is the door behind all of them. A part that htmx asked for is that page anew.
    """

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponseBase | None:
        if not isinstance(exception, SeasonClosed):
            return None
        messages.error(request, _("Nothing was saved. {why}").format(why=exception))
        where = _page_it_came_from(request)
        return HttpResponseClientRedirect(where) if _is_htmx(request) else redirect(where)


class YardMiddleware:
    """Gives `request.yard` and `request.yard_now`, sets the yard's zone, and adds the headers of every answer.

    One query, and none for a view that says `without_yard`. Boats whose day of sale has come change hands first.
    """

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        with timezone.override(None):  # the thread's next request starts from the settings again
            response = self.get_response(request)
        patch_vary_headers(response, ["HX-Request"])
        response.headers.setdefault("Permissions-Policy", PERMISSIONS_POLICY)
        return response

    def process_view(self, request: HttpRequest, view: Callable[..., Any], args: Any, kwargs: Any) -> None:
        if not getattr(view, "without_yard", False):
            read_yard(request)


def read_yard(request: HttpRequest) -> YardSettings:
    """The yard's settings, read once a request; before there are any, those of a yard without a name."""
    yard: YardSettings | None = getattr(request, "yard", None)
    if yard is None:
        yard = YardSettings.objects.filter(pk=1).first() or YardSettings(name=_("Yard"))
        told = cast(YardRequest, request)
        told.yard, told.yard_now = yard, yard_clock(yard, real_now=timezone.now())
        timezone.activate(_zone(yard.time_zone))
        if is_due(yard.next_sale_on, str(_zone(yard.time_zone)), told.yard_now):
            with suppress(OperationalError):  # somebody writes at this moment: the next page does it
                carry_out_due(now=told.yard_now)
    return yard


def _zone(name: str) -> zoneinfo.ZoneInfo:
    try:
        return zoneinfo.ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError):  # a zone that this machine's table has no more
        return zoneinfo.ZoneInfo("UTC")


def _is_htmx(request: HttpRequest) -> bool:
    return bool(getattr(request, "htmx", False))


def _page_it_came_from(request: HttpRequest) -> str:
    """By what the browser says, if it is a page of this site; else the list of seasons."""
    came = urlsplit(request.headers.get("Referer", ""))
    if came.netloc != request.get_host():
        return resolve_url("seasons")
    return came.path + (f"?{came.query}" if came.query else "")


def page_to_come_back_to(request: HttpRequest) -> str:
    """Where to go on after signing in: a page that can be shown, with nothing sent again."""
    if _is_htmx(request):
        page = urlsplit(cast(YardRequest, request).htmx.current_url or "")
        return page.path + (f"?{page.query}" if page.query else "") if page.netloc == request.get_host() else "/"
    return request.get_full_path() if request.method in ("GET", "HEAD") else "/"
