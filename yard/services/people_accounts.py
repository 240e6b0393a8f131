"""Who may sign in: accounts, their role and their passwords. Roles are Django groups.

A password that somebody else has seen is good for one sign-in: the account is put into a group of its own, pages
send it to set a new one, and setting one takes it out.  (A group, because groups are read once a request anyway.)

Each change is kept as a SecurityEvent, by the real clock: the yard's own may stand still. by: who did it; nobody for
the command line.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from typing import Literal, get_args

from axes.utils import reset as unlock
from django.contrib.auth.models import Group, User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _

from yard.models import SecurityEvent
from yard.services.security_log import note

Role = Literal["planner", "office", "crew", "viewer"]
ROLES: tuple[Role, ...] = get_args(Role)
ONE_TIME_PASSWORD_GROUP = "one-time password"

# No letter or figure that is taken for another when it is read aloud or off a note.
_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"


class AccountRefused(ValueError):
    """The change would not do; the text says why, and what to do instead."""


@dataclass(frozen=True, slots=True)
class NewAccess:
    """An account and the password that opens it once. It is kept nowhere: show it now or make another."""

    account: User
    one_time_password: str


def one_time_password() -> str:
    """Three groups of four, 59 bits: enough for a password that is throttled and lasts until its first use."""
    return "-".join("".join(secrets.choice(_LETTERS) for _ in range(4)) for _ in range(3))


def add_account(username: str, *, role: Role, first_name: str = "", by: User | None = None) -> NewAccess:
    """Open an account. Raises AccountRefused if the name is taken or cannot be a name."""
    _refuse_unknown_role(role)
    account = User(username=User.normalize_username(username.strip()), first_name=first_name.strip())
    if User.objects.filter(username__iexact=account.username).exists():
        raise AccountRefused(
            _("There is an account “{username}” already: choose another name.").format(username=account.username)
        )
    try:
        account.clean_fields(exclude=["password"])
    except ValidationError as error:
        raise AccountRefused(" ".join(error.messages)) from error
    with transaction.atomic():
        access = _give_password(account)
        _set_groups(account, role)
        _note(SecurityEvent.Kind.ADDED, account, by, role)
    return access


def new_password(account: User, *, by: User | None = None) -> NewAccess:
    """Replace a forgotten password by a new one for one sign-in, end every open session, lift a lock."""
    with transaction.atomic():
        access = _give_password(account)
        account.groups.add(Group.objects.get_or_create(name=ONE_TIME_PASSWORD_GROUP)[0])
        _note(SecurityEvent.Kind.ONE_TIME, account, by)
    unlock(username=account.username)
    return access


def password_was_set(account: User) -> None:
    """The account's own person has set a password."""
    account.groups.remove(*Group.objects.filter(name=ONE_TIME_PASSWORD_GROUP))
    _note(SecurityEvent.Kind.PASSWORD, account, account)


def change_role(account: User, role: Role, *, by: User | None = None) -> None:
    """Raises AccountRefused for the last planner."""
    _refuse_unknown_role(role)
    with transaction.atomic():
        if role != "planner":
            _refuse_last_planner(account)
            account.is_superuser = False
            account.save(update_fields=["is_superuser"])
        account.groups.remove(*Group.objects.filter(name__in=ROLES))
        account.groups.add(Group.objects.get_or_create(name=role)[0])
        _note(SecurityEvent.Kind.ROLE, account, by, role)


def set_active(account: User, active: bool, *, by: User | None = None) -> None:
    """Let an account sign in, or shut it: its sessions end, what it did stays. Raises AccountRefused as above."""
    with transaction.atomic():
        if not active:
            _refuse_last_planner(account)
        account.is_active = active
        account.save(update_fields=["is_active"])
        _note(SecurityEvent.Kind.REOPENED if active else SecurityEvent.Kind.SHUT, account, by)


def role_of(account: User) -> Role | None:
    """The role of an account with its groups at hand; a superuser is a planner."""
    names = {group.name for group in account.groups.all()}
    if account.is_superuser:
        return "planner"
    return next((role for role in ROLES if role in names), None)


def _give_password(account: User) -> NewAccess:
    password = one_time_password()
    account.set_password(password)
    account.save()
    return NewAccess(account, password)


def _note(kind: SecurityEvent.Kind, account: User, by: User | None, about: str = "") -> None:
    note(kind, account=account, by=by, now=timezone.now(), about=about)


def _set_groups(account: User, role: Role) -> None:
    account.groups.set(Group.objects.get_or_create(name=name)[0] for name in (role, ONE_TIME_PASSWORD_GROUP))


def _refuse_unknown_role(role: str) -> None:
    if role not in ROLES:
        raise AccountRefused(
            _("“{role}” is no role: choose {first} or {last}.").format(
                role=role, first=", ".join(ROLES[:-1]), last=ROLES[-1]
            )
        )


def _refuse_last_planner(account: User) -> None:
    """Holds the planners' rows, so that two planners cannot shut each other out at the same moment."""
    planners = User.objects.filter(Q(groups__name="planner") | Q(is_superuser=True), is_active=True)
    left = {planner.pk for planner in User.objects.select_for_update().filter(pk__in=planners.values("pk"))}
    if left == {account.pk}:
        raise AccountRefused(
            _("{username} is the only planner: make somebody else a planner first.").format(username=account.username)
        )
