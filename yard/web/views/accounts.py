"""The page on which a planner says who may sign in, as what, and who needs a second factor."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.contrib.auth.models import User
from django.db.models import Count, Q
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache

from yard.models import SecurityEvent, YardSettings
from yard.services import people_accounts, second_factor
from yard.services.people_accounts import ROLES, AccountRefused, NewAccess
from yard.web.access import found, require
from yard.web.accounts.sessions import fresh
from yard.web.request import YardRequest, who

ROLE_WORDS = {
    "planner": gettext_lazy("Planner: plans, posts, and may do everything"),
    "office": gettext_lazy("Office: orders, boats, owners and letters"),
    "crew": gettext_lazy("Crew: sees the plan, reports work, closes the day"),
    "viewer": gettext_lazy("Viewer: sees the plan, changes nothing"),
}
ROLE_NAMES = {
    "planner": gettext_lazy("planner"),
    "office": gettext_lazy("office"),
    "crew": gettext_lazy("crew"),
    "viewer": gettext_lazy("viewer"),
}
EVENTS_SHOWN = 40


class AccountForm(forms.Form):
    """A new account."""

    username = forms.CharField(label=gettext_lazy("Name to sign in with"), max_length=150)
    first_name = forms.CharField(label=gettext_lazy("First name"), max_length=150, required=False)
    role = forms.ChoiceField(
        label=gettext_lazy("Role"), choices=[(role, ROLE_WORDS[role]) for role in ROLES], initial="crew"
    )


class DemandForm(forms.Form):
    second_factor_for = forms.ChoiceField(
        label=gettext_lazy("A second factor is needed by"), choices=YardSettings.SecondFactorFor.choices, required=False
    )


class RoleForm(forms.Form):
    role = forms.ChoiceField(choices=[(role, role) for role in ROLES])


class ActiveForm(forms.Form):
    active = forms.TypedChoiceField(choices=[("yes", "yes"), ("no", "no")], coerce=lambda word: word == "yes")


@require("manage_people", post="manage_people")
@fresh("accounts")
@never_cache
def accounts(request: YardRequest) -> HttpResponse:
    form = AccountForm(request.POST or None)
    if form.is_valid():
        try:
            return _show_password(request, people_accounts.add_account(**form.cleaned_data, by=who(request)))
        except AccountRefused as refused:
            form.add_error("username", str(refused))
    phones = Count("totpdevice", filter=Q(totpdevice__confirmed=True))
    rows = User.objects.annotate(phones=phones).prefetch_related("groups").order_by("-is_active", "username", "id")
    people = [(account, people_accounts.role_of(account)) for account in rows]
    events = SecurityEvent.objects.select_related("account", "by")[:EVENTS_SHOWN]
    demand = DemandForm(initial={"second_factor_for": request.yard.second_factor_for})
    context = {"form": form, "people": people, "roles": ROLES, "events": events, "demand": demand}
    return render(request, "registration/accounts.html", context, status=422 if form.errors else 200)


@require(post="manage_people")
@fresh("accounts")
@never_cache
def account_new_password(request: YardRequest, pk: int) -> HttpResponse:
    return _show_password(request, people_accounts.new_password(found(User.objects.all(), pk=pk), by=who(request)))


@require(post="manage_people")
@fresh("accounts")
def account_role(request: YardRequest, pk: int) -> HttpResponseBase:
    account, form = found(User.objects.all(), pk=pk), RoleForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Nothing was changed: choose one of the roles."))
        return redirect("accounts")
    try:
        people_accounts.change_role(account, form.cleaned_data["role"], by=who(request))
        messages.success(
            request,
            _("{account} is {role} now.").format(account=account.username, role=ROLE_NAMES[form.cleaned_data["role"]]),
        )
    except AccountRefused as refused:
        messages.error(request, str(refused))
    return redirect("accounts")


@require(post="manage_people")
@fresh("accounts")
def account_active(request: YardRequest, pk: int) -> HttpResponseBase:
    account, form = found(User.objects.all(), pk=pk), ActiveForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Nothing was changed: say whether the account is open."))
        return redirect("accounts")
    try:
        people_accounts.set_active(account, form.cleaned_data["active"], by=who(request))
        done = _("{account} can sign in again.") if account.is_active else _("{account} can sign in no more.")
        messages.success(request, done.format(account=account.username))
    except AccountRefused as refused:
        messages.error(request, str(refused))
    return redirect("accounts")


@require(post="manage_people")
@fresh("accounts")
def account_second_factor(request: YardRequest, pk: int) -> HttpResponseBase:
    """Somebody's phone is lost: the second factor is taken away, and they set up another."""
    account = found(User.objects.all(), pk=pk)
    if second_factor.take_away(
        account, by=who(request), now=timezone.now(), keep_session=_own_session(request, account)
    ):
        messages.success(
            request,
            _("{account} has no second factor now, and is signed out everywhere.").format(account=account.username),
        )
    else:
        messages.error(
            request, _("{account} has no second factor: nothing was changed.").format(account=account.username)
        )
    return redirect("accounts")


@require(post="manage_people")
@fresh("accounts")
def accounts_demand(request: YardRequest) -> HttpResponseBase:
    """Whose role needs a second factor."""
    form = DemandForm(request.POST)
    if form.is_valid():
        yard = second_factor.demand(form.cleaned_data["second_factor_for"], by=who(request), now=timezone.now())
        messages.success(
            request,
            _("A second factor is needed by {whom}.").format(whom=yard.get_second_factor_for_display()),
        )
    else:
        messages.error(request, _("Nothing was changed: say who needs a second factor."))
    return redirect("accounts")


def _own_session(request: YardRequest, account: User) -> str:
    return (request.session.session_key or "") if account == request.user else ""


def _show_password(request: YardRequest, access: NewAccess) -> HttpResponse:
    return render(request, "registration/one_time_password.html", {"access": access})
