"""Where an account is signed in: its sessions, read off Django's own rows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256

from django.contrib.auth import SESSION_KEY
from django.contrib.auth.models import User
from django.contrib.sessions.models import Session
from django.db.models import QuerySet
from django.utils.translation import gettext as _

SIGNED_IN_AT, SEEN_AT, CONFIRMED_AT, DEVICE = "signed_in_at", "seen_at", "confirmed_at", "device"
"""What a session keeps beside Django's own: seconds since 1970, and a browser in two words."""


@dataclass(frozen=True, slots=True)
class SignIn:
    """One session. name: by which it can be ended, and which opens nothing. seen_at: to the hour."""

    name: str
    device: str
    signed_in_at: datetime | None
    seen_at: datetime | None
    this_one: bool


def sign_ins_of(account: User, *, now: datetime, session_key: str = "") -> list[SignIn]:
    """Open sessions of an account, the one in use first. One query over all sessions of the yard."""
    found = [
        SignIn(
            _name(row.session_key),
            str(data.get(DEVICE) or _("a browser")),
            _moment(data.get(SIGNED_IN_AT)),
            _moment(data.get(SEEN_AT)),
            row.session_key == session_key,
        )
        for row, data in _of(account, Session.objects.filter(expire_date__gt=now))
    ]
    latest = datetime.min.replace(tzinfo=UTC)
    return sorted(found, key=lambda each: (each.this_one, each.seen_at or latest), reverse=True)


def end_sign_ins(account: User, *, but: str = "", name: str = "") -> int:
    """End the sessions of an account, or the one of this name; `but`: the key of one that stays. Gives how many."""
    keys = [
        row.session_key
        for row, _ in _of(account, Session.objects.all())
        if row.session_key != but and name in ("", _name(row.session_key))
    ]
    return Session.objects.filter(session_key__in=keys).delete()[0]


def _of(account: User, rows: QuerySet[Session]) -> Iterator[tuple[Session, dict[str, object]]]:
    for row in rows:
        data = row.get_decoded()
        if data.get(SESSION_KEY) == str(account.pk):
            yield row, data


def _name(session_key: str) -> str:
    return sha256(session_key.encode()).hexdigest()[:16]


def _moment(said: object) -> datetime | None:
    return datetime.fromtimestamp(said, UTC) if isinstance(said, int | float) else None
