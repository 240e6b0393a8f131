"""What is asked of whoever is signed in before a page opens: a session that lasts, an own password, a second factor."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect, resolve_url
from django.utils.translation import gettext as _
from django_htmx.http import HttpResponseClientRedirect
from django_otp import DEVICE_ID_SESSION_KEY

from yard.services.second_factor import is_asked_of
from yard.web.access import must_set_password, roles_of
from yard.web.accounts.sessions import is_over
from yard.web.middleware import page_to_come_back_to, read_yard

GetResponse = Callable[[HttpRequest], HttpResponseBase]
WITHOUT_SECOND_FACTOR = frozenset(
    {"own_account", "second_factor", "second_factor_begin", "sign_ins_end", "confirm", "change_password"}
)
"""The pages that open to somebody who still has to set one up."""
WITH_ONE_TIME_PASSWORD = frozenset({"change_password"})


class _Asking:
    """Asks at each view that needs a sign-in; never where nobody need sign in, which would read a session there."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., Any], args: Any, kwargs: Any
    ) -> HttpResponseBase | None:
        if "public" in getattr(view, "verbs", {}).values() or not request.user.is_authenticated:
            return None
        return self.ask(request)

    def ask(self, request: HttpRequest) -> HttpResponseBase | None:
        raise NotImplementedError


class SessionAgeMiddleware(_Asking):
    """Signs out whoever did not come for days, and everybody in the end. No query; a write once an hour."""

    def ask(self, request: HttpRequest) -> HttpResponseBase | None:
        if not is_over(request.session, time.time()):
            return None
        back = page_to_come_back_to(request)
        logout(request)
        messages.info(request, _("You were signed out, because you had not been here for a while. Sign in again."))
        return _go(request, redirect_to_login(back, resolve_url("sign_in")).url)


class NewPasswordMiddleware(_Asking):
    """Whoever signed in with a one-time password sets one of their own first. One query, of the groups."""

    def ask(self, request: HttpRequest) -> HttpResponseBase | None:
        if _name(request) in WITH_ONE_TIME_PASSWORD or not must_set_password(request.user):
            return None
        return _go(request, resolve_url("change_password"))


class SecondFactorMiddleware(_Asking):
    """Whose role needs a second factor and who has none sets it up first. No query beyond the groups and the yard.

    A session that passed a second step says so itself; when the factor is taken away, its account's sessions end.
    """

    def ask(self, request: HttpRequest) -> HttpResponseBase | None:
        if _name(request) in WITHOUT_SECOND_FACTOR or DEVICE_ID_SESSION_KEY in request.session:
            return None
        if not is_asked_of(read_yard(request), roles_of(request.user)):
            return None
        return _go(request, resolve_url("own_account"))


def _name(request: HttpRequest) -> str:
    return (request.resolver_match.url_name or "") if request.resolver_match else ""


def _go(request: HttpRequest, where: str) -> HttpResponseBase:
    return HttpResponseClientRedirect(where) if getattr(request, "htmx", False) else redirect(where)
