"""Sign in and out, one's own password, and the page on which a planner says who may sign in."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.contrib.auth.forms import PasswordChangeForm
from django.contrib.auth.models import User
from django.contrib.auth.views import LoginView, LogoutView, PasswordChangeView
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render, resolve_url
from django.views.decorators.cache import never_cache

from yard.services import people_accounts
from yard.services.people_accounts import ROLES, AccountRefused, NewAccess
from yard.web.access import found, must_set_password, public, require

ROLE_WORDS = {
    "planner": "Planner: plans, posts, and may do everything",
    "office": "Office: orders, boats, owners and letters",
    "crew": "Crew: sees the plan, reports work, closes the day",
    "viewer": "Viewer: sees the plan, changes nothing",
}


class AccountForm(forms.Form):
    """A new account."""

    username = forms.CharField(label="Name to sign in with", max_length=150)
    first_name = forms.CharField(label="First name", max_length=150, required=False)
    role = forms.ChoiceField(label="Role", choices=[(role, ROLE_WORDS[role]) for role in ROLES], initial="crew")


class RoleForm(forms.Form):
    role = forms.ChoiceField(choices=[(role, role) for role in ROLES])


class ActiveForm(forms.Form):
    active = forms.TypedChoiceField(choices=[("yes", "yes"), ("no", "no")], coerce=lambda word: word == "yes")


class ChangePassword(PasswordChangeView):
    """One's own password; for a one-time password this is the only page that opens."""

    template_name = "registration/change_password.html"

    def get_context_data(self, **kwargs):
        return super().get_context_data(must_set=must_set_password(self.request.user), **kwargs)

    def form_valid(self, form: PasswordChangeForm) -> HttpResponse:
        super().form_valid(form)
        people_accounts.password_was_set(form.user)
        messages.success(self.request, "Your new password is set.")
        return redirect(resolve_url("/"))

    def get_success_url(self) -> str:
        return "/"


sign_in = public(post=True)(LoginView.as_view(redirect_authenticated_user=True))
sign_out = public(False, post=True)(LogoutView.as_view(template_name="registration/signed_out.html"))
change_password = require("own_account", post="own_account")(ChangePassword.as_view())


@require("manage_people", post="manage_people")
@never_cache
def accounts(request: HttpRequest) -> HttpResponse:
    form = AccountForm(request.POST or None)
    if form.is_valid():
        try:
            return _show_password(request, people_accounts.add_account(**form.cleaned_data))
        except AccountRefused as refused:
            form.add_error("username", str(refused))
    rows = User.objects.prefetch_related("groups").order_by("-is_active", "username", "id")
    people = [(account, people_accounts.role_of(account)) for account in rows]
    context = {"form": form, "people": people, "roles": ROLES}
    return render(request, "registration/accounts.html", context, status=422 if form.errors else 200)


@require(post="manage_people")
@never_cache
def account_new_password(request: HttpRequest, pk: int) -> HttpResponse:
    return _show_password(request, people_accounts.new_password(found(User.objects.all(), pk=pk)))


@require(post="manage_people")
def account_role(request: HttpRequest, pk: int) -> HttpResponseBase:
    account, form = found(User.objects.all(), pk=pk), RoleForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Nothing was changed: choose one of the roles.")
        return redirect("accounts")
    try:
        people_accounts.change_role(account, form.cleaned_data["role"])
        messages.success(request, f"{account.username} is {form.cleaned_data['role']} now.")
    except AccountRefused as refused:
        messages.error(request, str(refused))
    return redirect("accounts")


@require(post="manage_people")
def account_active(request: HttpRequest, pk: int) -> HttpResponseBase:
    account, form = found(User.objects.all(), pk=pk), ActiveForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Nothing was changed: say whether the account is open.")
        return redirect("accounts")
    try:
        people_accounts.set_active(account, form.cleaned_data["active"])
        messages.success(request, f"{account.username} can sign in {'again' if account.is_active else 'no more'}.")
    except AccountRefused as refused:
        messages.error(request, str(refused))
    return redirect("accounts")


def _show_password(request: HttpRequest, access: NewAccess) -> HttpResponse:
    return render(request, "registration/one_time_password.html", {"access": access})
