"""Sign in and out: name and password first, then the code of whoever has a second factor."""

from __future__ import annotations

import time
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import authenticate, login
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render, resolve_url
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext
from django.views.decorators.cache import never_cache
from django_otp import login as remember_second_factor

from yard.services import second_factor
from yard.services.second_factor import Answer
from yard.services.sign_ins import CONFIRMED_AT
from yard.web.access import public, require
from yard.web.accounts import second_step
from yard.web.accounts.forms import CodeForm, ConfirmForm
from yard.web.request import YardRequest, who

SAYS = {
    Answer.WRONG: gettext_lazy(
        "That is not the code that opens now: look at the phone again, each is good for half a minute, once."
    ),
    Answer.WAIT: gettext_lazy("Too many codes were wrong: wait a minute, then take a new one."),
}
BACKEND = "yard.web.access.RoleBackend"


class SignIn(LoginView):
    """Name and password. Whoever has a second factor is signed in by neither, but asked for the code."""

    redirect_authenticated_user = True

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        account = form.get_user()
        if second_factor.phone_of(account) is None:
            return super().form_valid(form)
        second_step.begin(self.request, account, next_page=self.get_redirect_url())
        return redirect("sign_in_code")


sign_in = public(post=True)(SignIn.as_view())
sign_out = public(False, post=True)(LogoutView.as_view(template_name="registration/signed_out.html"))


@public(post=True)
@never_cache
def sign_in_code(request: YardRequest) -> HttpResponseBase:
    """The second step. Wrong codes count as wrong passwords do, and the phone waits longer after each."""
    account = second_step.whose(request)
    if account is None:
        messages.error(request, _("That took too long, or was begun elsewhere: sign in again."))
        return redirect(settings.LOGIN_REDIRECT_URL)
    form = CodeForm(request.POST if request.method == "POST" else None)
    if form.is_valid() and not second_step.is_locked(request, account):
        answer = second_factor.check(account, form.cleaned_data["code"], now=timezone.now())
        if answer in (Answer.PHONE, Answer.RECOVERY):
            where = second_step.end(request)
            login(request, account, backend=BACKEND)
            remember_second_factor(request, second_factor.phone_of(account))
            if answer is Answer.RECOVERY:
                left = second_factor.codes_left(account)
                told = ngettext(
                    "That code is used up; {n} are left. Is the phone lost? Then set up another here.",
                    "That code is used up; {n} are left. Is the phone lost? Then set up another here.",
                    left,
                )
                messages.warning(request, told.format(n=left))
                return redirect("own_account")
            return redirect(where or settings.LOGIN_REDIRECT_URL)
        if answer is Answer.WRONG:
            second_step.refused(request, account)
        form.add_error("code", str(SAYS[answer]))
    return render(request, "registration/code.html", {"form": form}, status=422 if form.errors else 200)


@require("own_account", post="own_account")
@never_cache
def confirm(request: YardRequest) -> HttpResponseBase:
    """The password once more, and the code where there is one, before a dangerous act."""
    account = who(request)
    asks_code = second_factor.phone_of(account) is not None
    next_page = _own_page(request)
    form = ConfirmForm(request.POST if request.method == "POST" else None, asks_code=asks_code)
    if form.is_valid():
        wrong = _wrong(request, form.cleaned_data, asks_code)
        if not wrong:
            request.session.cycle_key()
            request.session[CONFIRMED_AT] = int(time.time())
            return redirect(next_page)
        form.add_error(*wrong)
    context = {"form": form, "next": next_page}
    return render(request, "registration/confirm.html", context, status=422 if form.errors else 200)


def _wrong(request: YardRequest, typed: dict[str, Any], asks_code: bool) -> tuple[str, str] | None:
    """The field and the words; None where all is right. The password first: a code is not used up for nothing."""
    account = who(request)
    if authenticate(request, username=account.username, password=typed["password"]) != account:
        return "password", _("That is not your password.")
    if not asks_code:
        return None
    answer = second_factor.check(account, typed["code"], now=timezone.now())
    return None if answer in (Answer.PHONE, Answer.RECOVERY) else ("code", str(SAYS[answer]))


def _own_page(request: YardRequest) -> str:
    page = request.POST.get("next") or request.GET.get("next", "")
    safe = url_has_allowed_host_and_scheme(page, {request.get_host()}, require_https=request.is_secure())
    return page if safe else resolve_url("own_account")
