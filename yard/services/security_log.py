"""What was done to accounts and to personal data: a row for people to read, and a line in the log.

Neither holds a password, a code, a token, an address of the network, nor anything of an owner but the key of the row.
"""

from __future__ import annotations

import logging
from datetime import datetime

from django.contrib.auth.models import User

from yard.models import SecurityEvent

LOG = logging.getLogger("yard.security")


def note(
    kind: SecurityEvent.Kind, *, now: datetime, account: User | None = None, by: User | None = None, about: str = ""
) -> SecurityEvent:
    """Keep one event. account: whose it is; by: who did it; about: what else it names, as `owner 17`."""
    event = SecurityEvent.objects.create(kind=kind, at=now, account=account, by=by, about=about)
    say(kind, account=account, by=by, about=about)
    return event


def say(kind: str, *, account: User | None = None, by: User | None = None, about: str = "") -> None:
    """The line in the log alone, for what is too frequent for a row: sign-ins. Accounts are told by their key."""
    whose, who = ("none" if each is None else str(each.pk) for each in (account, by))
    LOG.info("%s: account %s, by %s%s", kind, whose, who, f", {about}" if about else "")
