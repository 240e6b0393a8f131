"""What was done to accounts and to personal data: a row for people to read, and a line in the log.

Neither holds a password, a code, a token, an address of the network, nor anything of an owner but the key of the row.
"""

from __future__ import annotations

import logging
from datetime import datetime, timedelta

from django.contrib.auth.models import User

from yard.models import SecurityEvent

LOG = logging.getLogger("yard.security")


def note(
    kind: SecurityEvent.Kind, *, now: datetime, account: User | None = None, by: User | None = None, about: str = ""
) -> SecurityEvent:
    """Keep one event. account: whose it is; by: who did it; about: what else it names, as `owner 17`.

    What nobody of the site did has no line: the command line says itself what it did, and axes that it locked.
    """
    event = SecurityEvent.objects.create(kind=kind, at=now, account=account, by=by, about=about)
    if by is not None:
        say(kind, account=account, by=by, about=about)
    return event


def note_lock(name: str, *, now: datetime) -> None:
    """Too many wrong tries for an account: one row an hour, however often it is tried meanwhile."""
    account = User.objects.filter(username=name).first()
    lately = {"kind": SecurityEvent.Kind.LOCKED, "at__gt": now - timedelta(hours=1)}
    if account is not None and not account.security_events.filter(**lately).exists():
        note(SecurityEvent.Kind.LOCKED, account=account, now=now)


def say(kind: str, *, account: User | None = None, by: User | None = None, about: str = "") -> None:
    """The line in the log alone, for what is too frequent for a row: sign-ins. Accounts are told by their key."""
    whose, who = ("none" if each is None else str(each.pk) for each in (account, by))
    LOG.info("%s: account %s, by %s%s", kind, whose, who, f", {about}" if about else "")
