"""The one writer of wishes to be carried, before they are booked."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import Boat, Owner, RunWish
from yard.services.facts_revision import bump_facts
from yard.services.owners_runs.room import RunRefused
from yard.services.pen import sign

OPEN_OF_AN_OWNER = 6
"""So many unanswered wishes an owner may leave on the private page (common practice: a weekend's)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WishAsked:
    """Instants are aware, on the quarter hour. owner, boat: None where nobody on file is meant."""

    name: str
    people: int
    way: str
    from_at: datetime
    until_at: datetime
    phone: str = ""
    note: str = ""
    owner: Owner | None = None
    boat: Boat | None = None


@transaction.atomic
def ask_run(asked: WishAsked, *, form_key: UUID | None = None, by: User | None, now: datetime) -> RunWish:
    """Keep a wish; the same form sent twice is one. by: None for the owner's own page. Raises RunRefused."""
    bump_facts()
    if form_key and (same := RunWish.objects.filter(form_key=form_key).first()):
        return same
    if not asked.name.strip():
        raise RunRefused(_("Say who goes: the person at the helm calls a name."))
    if asked.until_at <= now:
        raise RunRefused(_("That hour has passed: ask for one to come."))
    if asked.until_at - asked.from_at >= timedelta(days=1) or asked.until_at < asked.from_at:
        raise RunRefused(_("From and until are two hours of one day, the earlier first."))
    if by is None and _waiting(asked.owner) >= OPEN_OF_AN_OWNER:
        raise RunRefused(_("{n} wishes wait for an answer already: call the yard.").format(n=OPEN_OF_AN_OWNER))
    wish = RunWish(
        owner=asked.owner,
        boat=asked.boat,
        name=asked.name.strip(),
        phone=asked.phone,
        people=asked.people,
        way=asked.way,
        from_at=asked.from_at,
        until_at=asked.until_at,
        note=asked.note,
        asked_by=by,
        asked_at=now,
        form_key=form_key,
    )
    wish.full_clean(exclude=["owner", "boat"])
    sign(wish, by=by, now=now, reason=_("asked"))
    wish.save()
    return wish


def _waiting(owner: Owner | None) -> int:
    return RunWish.objects.filter(owner=owner, state=RunWish.State.ASKED).count() if owner is not None else 0


def withdraw_wish(wish: RunWish, *, seen_version: int, by: User | None, now: datetime) -> RunWish:
    """They do not go after all; a seat that was theirs is free. Raises RunRefused, StaleRow."""
    return _end(wish, RunWish.State.WITHDRAWN, "", seen_version=seen_version, by=by, now=now)


def decline_wish(wish: RunWish, *, why: str, seen_version: int, by: User | None, now: datetime) -> RunWish:
    """It is not possible, for a reason that they are told. Raises RunRefused, StaleRow."""
    if not why.strip():
        raise RunRefused(_("Say why it is not possible: they will ask."))
    return _end(wish, RunWish.State.DECLINED, why.strip()[:100], seen_version=seen_version, by=by, now=now)


@transaction.atomic
def _end(wish: RunWish, state: str, answer: str, *, seen_version: int, by: User | None, now: datetime) -> RunWish:
    bump_facts()
    row = RunWish.objects.get(pk=wish.pk)
    if row.state not in (RunWish.State.ASKED, RunWish.State.BOOKED):
        raise RunRefused(_("It is {state} already.").format(state=row.get_state_display()))
    row.state, row.answer, row.run = state, answer, None
    sign(row, by=by, now=now, reason=answer or _("withdrawn"))
    return row.save_over(seen_version)
