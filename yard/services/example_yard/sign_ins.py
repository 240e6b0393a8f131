"""Sign-ins of the example yard: one for each role, all with one password."""

from __future__ import annotations

from django.contrib.auth.models import User
from django.db import transaction

from yard.models import Person
from yard.services.people_accounts import Role, add_account, password_was_set

SIGN_INS: dict[str, Role] = {"ada": "planner", "ben": "crew", "cy": "office", "dee": "viewer"}
OF_THE_YARD = {"ada": "Ada", "ben": "Ben"}
"""Short names of the people whose own day a sign-in shows."""


@transaction.atomic
def open_sign_ins(password: str) -> list[str]:
    """Open the sign-ins that are missing and give every one of them this password. Gives the names that are new."""
    opened = []
    for name, role in SIGN_INS.items():
        account = User.objects.filter(username=name).first()
        if account is None:
            account = add_account(name, role=role, first_name=name.capitalize()).account
            opened.append(name)
        account.set_password(password)
        account.save()
        password_was_set(account)
        if name in OF_THE_YARD:
            Person.objects.filter(short_name=OF_THE_YARD[name], user=None).update(user=account)
    return opened
