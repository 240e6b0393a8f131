"""How whoever has an account is named to others."""

from __future__ import annotations

from django.contrib.auth.models import AbstractBaseUser, AnonymousUser, User


def called(user: User | AbstractBaseUser | AnonymousUser | None, nobody: str = "") -> str:
    """The first name, else the name of the account; `nobody` where there is none (any more)."""
    if user is None:
        return nobody
    return getattr(user, "first_name", "") or user.get_username() or nobody
