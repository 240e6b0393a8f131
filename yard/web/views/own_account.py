"""One's own account: password, second factor, and where one is signed in."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.forms import PasswordChangeForm
from django.contrib.auth.views import PasswordChangeView
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render, resolve_url
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django_otp import login as remember_second_factor

from yard.models import SecurityEvent
from yard.services import people_accounts, second_factor
from yard.services.security_log import note
from yard.services.sign_ins import end_sign_ins, sign_ins_of
from yard.web.access import must_set_password, require, roles_of
from yard.web.accounts.forms import CodeForm
from yard.web.accounts.own import square_of
from yard.web.accounts.sessions import fresh
from yard.web.request import YardRequest, who

EVENTS_SHOWN = 12


class ChangePassword(PasswordChangeView):
    """One's own password; for a one-time password this is the only page that opens."""

    template_name = "registration/change_password.html"

    def get_context_data(self, **kwargs):
        return super().get_context_data(must_set=must_set_password(self.request.user), **kwargs)

    def form_valid(self, form: PasswordChangeForm) -> HttpResponse:
        super().form_valid(form)
        people_accounts.password_was_set(form.user)
        messages.success(self.request, _("Your new password is set, and you are signed out everywhere else."))
        return redirect(resolve_url("/"))

    def get_success_url(self) -> str:
        return "/"


change_password = require("own_account", post="own_account")(ChangePassword.as_view())


@require("own_account")
@never_cache
def own_account(request: YardRequest) -> HttpResponse:
    account, now = who(request), timezone.now()
    phone = second_factor.phone_of(account)
    context = {
        "phone": phone,
        "asked": second_factor.is_asked_of(request.yard, roles_of(account)),
        "codes_left": second_factor.codes_left(account) if phone else 0,
        "sign_ins": sign_ins_of(account, now=now, session_key=request.session.session_key or ""),
        "events": account.security_events.select_related("by")[:EVENTS_SHOWN],
    }
    return render(request, "registration/own_account.html", context)


@require("own_account", post="own_account")
@fresh(reading=True)
@never_cache
def second_factor_page(request: YardRequest) -> HttpResponseBase:
    """The secret of a phone that is being set up, as a square and in letters; POST: the first code that it shows."""
    account = who(request)
    phone = second_factor.phone_to_come(account)
    if phone is None:
        return redirect("own_account")
    form = CodeForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        key = request.session.session_key or ""
        codes = second_factor.finish(account, form.cleaned_data["code"], now=timezone.now(), keep_session=key)
        if codes is not None:
            remember_second_factor(request, second_factor.phone_of(account))
            return render(request, "registration/recovery_codes.html", {"codes": codes})
        form.add_error(
            "code", _("That is not what the phone shows now. Is its clock right? After several wait a minute.")
        )
    context = {"form": form, "secret": square_of(phone, request.yard.name)}
    return render(request, "registration/second_factor.html", context, status=422 if form.errors else 200)


@require(post="own_account")
@fresh("own_account")
def second_factor_begin(request: YardRequest) -> HttpResponseBase:
    second_factor.begin(who(request))
    return redirect("second_factor")


@require(post="own_account")
@fresh("own_account")
@never_cache
def recovery_codes_new(request: YardRequest) -> HttpResponseBase:
    account = who(request)
    if second_factor.phone_of(account) is None:
        messages.error(request, _("Recovery codes come with a second factor: set one up first."))
        return redirect("own_account")
    codes = second_factor.new_codes(account, now=timezone.now())
    return render(request, "registration/recovery_codes.html", {"codes": codes})


@require(post="own_account")
@fresh("own_account")
def second_factor_off(request: YardRequest) -> HttpResponseBase:
    account = who(request)
    if second_factor.is_asked_of(request.yard, roles_of(account)):
        messages.error(request, _("The yard asks a second factor of you: set up another phone instead."))
    else:
        key = request.session.session_key or ""
        second_factor.take_away(account, by=account, now=timezone.now(), keep_session=key)
        messages.success(request, _("Your second factor is off: your password alone opens your account."))
    return redirect("own_account")


@require(post="own_account")
@fresh("own_account")
def sign_ins_end(request: YardRequest) -> HttpResponseBase:
    """Out of one session, named by what opens nothing, or of all but this one."""
    account, key = who(request), request.session.session_key or ""
    count = end_sign_ins(account, but=key, name=request.POST.get("name", ""))
    if count:
        note(
            SecurityEvent.Kind.SIGNED_OUT,
            account=account,
            by=account,
            now=timezone.now(),
            about=_("{n} sign-ins").format(n=count),
        )
    messages.success(
        request, ngettext("Signed out {n} time elsewhere.", "Signed out {n} times elsewhere.", count).format(n=count)
    )
    return redirect("own_account")
