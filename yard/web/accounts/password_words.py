"""Passwords that are long enough and still the first that anybody would try.

The yard's own words are those that people of a yard choose first: its name, names of its own, words of the trade.
zxcvbn reckons how many tries a password lasts, knowing these, 30,000 common passwords, names and patterns of the keys.
"""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from zxcvbn import zxcvbn

from yard.models import YardSettings
from yard.services.people_accounts import ROLES

WORDS = (
    "yard",
    "boat",
    "boatyard",
    "tide",
    "mooring",
    "season",
    "planner",
    "password",
    "launch",
    "haul",
    "sail",
    *ROLES,
)
LEAST_TRIES = 10**8
"""Safe for what is throttled and kept under a slow hash: zxcvbn's own third of four steps."""
LOOKED_AT = 72
"""Letters that are looked at; what comes after makes it no weaker."""


class NotMadeOfKnownWords:
    """A validator of Django's settings; no rule about capitals, figures or signs."""

    def validate(self, password: str, user: Any = None) -> None:
        if zxcvbn(password[:LOOKED_AT], user_inputs=_words(user), max_length=LOOKED_AT)["guesses"] < LEAST_TRIES:
            raise ValidationError(
                _("This password is too easy to guess: take a few words that have nothing to do with each other."),
                code="password_too_easy",
            )

    def get_help_text(self) -> str:
        return _("Your password can’t be a common one, the yard’s or your name, or a row of keys.")


def _words(user: Any) -> list[str]:
    yard = YardSettings.objects.filter(pk=1).values_list("name", flat=True).first() or ""
    names = [yard, *(getattr(user, key, "") for key in ("username", "first_name", "last_name", "email"))]
    parts = [part for name in names for part in (name.replace(" ", ""), *name.split())]
    return [*WORDS, *(part.lower() for part in parts if part)]
