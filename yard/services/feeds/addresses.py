"""Calendar addresses: made, renamed, paused, replaced, withdrawn. Their tokens are secrets.

A token is 192 bits of an HMAC over the address's own random seed with the site's key, which comes from the
environment.  Stored are the seed and the token's hash: whoever reads the rows, or a copy of them, can work out no
token, and yet its page can show the address again for a second phone (an address shown once is soon kept on a slip of
paper).  Addresses are found by the hash, so that those handed out live on when the site's key changes; they can then
no longer be shown, and are replaced.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.crypto import constant_time_compare, salted_hmac
from django.utils.translation import gettext as _

from yard.models import Boat, CalendarAddress, FeedPart, Owner, Person, Place

Kind = CalendarAddress.Kind
TOKEN_BYTES = 24
PLANS, SEES_OWNERS, ALL = "plans", "sees_owners", "all"
WHO_MAY: Mapping[str, str] = {
    Kind.PERSON: ALL,
    Kind.BOAT: ALL,
    Kind.PLACE: ALL,
    Kind.TIDES: ALL,
    Kind.CLOSURES: ALL,
    Kind.OWNER: SEES_OWNERS,
    Kind.DEADLINES: SEES_OWNERS,
    Kind.YARD: PLANS,
}
"""Who may have a calendar of each kind; asked when it is made and again at every reading."""
OWN_PARTS: Mapping[str, tuple[str, ...]] = {
    Kind.TIDES: (FeedPart.HIGHS_LOWS, FeedPart.DAYLIGHT),
    Kind.CLOSURES: (FeedPart.CLOSURES,),
    Kind.DEADLINES: (FeedPart.DEADLINES,),
}
"""What a kind without jobs shows of itself."""
MOST_ADDRESSES = 40
"""Of one account: enough for anybody, and a mistake in a script fills no table."""


class AddressRefused(ValueError):
    """The change would not do; the text says why, and what to do instead."""


@dataclass(frozen=True)
class Rights:
    """Whose addresses somebody handles. person: the row of the crew that is this account's, if any."""

    user: User
    plans: bool
    sees_owners: bool

    def may(self, kind: str) -> bool:
        return may_have(kind, plans=self.plans, sees_owners=self.sees_owners)


def may_have(kind: str, *, plans: bool, sees_owners: bool) -> bool:
    """Whether an account with these verbs may have a calendar of this kind."""
    match WHO_MAY[kind]:
        case "plans":
            return plans
        case "sees_owners":
            return sees_owners
        case _:
            return True


@dataclass(frozen=True)
class Shows:
    """parts: beside the jobs of its kind. alarm_min: minutes before, None for no alarm; draft_m: at the ramp."""

    parts: Sequence[str] = ()
    alarm_min: int | None = None
    draft_m: float | None = None


@dataclass(frozen=True)
class Wish:
    """A new calendar."""

    kind: str
    name: str
    subject: Person | Boat | Owner | Place | None = None
    shows: Shows = Shows()


def token_of(address: CalendarAddress) -> str:
    """The token, 32 letters. Raises AddressRefused where the site's key is another than when it was made."""
    token = _token(address)
    if not constant_time_compare(hash_of(token), address.token_sha256):
        raise AddressRefused(
            _("This address was made with another key of the site: it works, but cannot be shown again.")
        )
    return token


def _token(address: CalendarAddress) -> str:
    mac = salted_hmac("yard.calendar address", address.seed.hex, algorithm="sha256").digest()
    return base64.urlsafe_b64encode(mac[:TOKEN_BYTES]).decode("ascii")


def hash_of(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "backslashreplace")).hexdigest()


def make_address(wish: Wish, *, by: Rights, now: datetime) -> CalendarAddress:
    """Raises AddressRefused where this person may not have such a calendar, or something is missing."""
    if not by.may(wish.kind):
        raise AddressRefused(_("Such a calendar is for the planner or the office: ask them for it."))
    if CalendarAddress.objects.filter(made_by=by.user, withdrawn_at=None).count() >= MOST_ADDRESSES:
        raise AddressRefused(
            _("You have {n} calendars already: withdraw one that nobody reads first.").format(n=MOST_ADDRESSES)
        )
    address = CalendarAddress(
        kind=wish.kind,
        name=wish.name.strip(),
        made_by=by.user,
        made_at=now,
        changed_at=now,
        **_subject_field(wish),
    )
    address.token_sha256 = hash_of(_token(address))
    _put(address, replace(wish.shows, parts=(*wish.shows.parts, *OWN_PARTS.get(wish.kind, ()))), by)
    address.save()
    return address


def owners_own_address(owner: Owner, *, now: datetime) -> CalendarAddress:
    """The calendar that stands on an owner's page: nobody's of the yard, and made if there is none that is read."""
    row = CalendarAddress.objects.filter(kind=Kind.OWNER, owner=owner, made_by=None, withdrawn_at=None).first()
    if row is not None:
        return row
    row = CalendarAddress(
        kind=Kind.OWNER,
        owner=owner,
        name=_("Dates of {owner}").format(owner=owner.name)[:80],
        made_at=now,
        changed_at=now,
    )
    row.token_sha256 = hash_of(_token(row))
    row.save()
    return row


def _put(address: CalendarAddress, shows: Shows, by: Rights) -> None:
    if FeedPart.DEADLINES in shows.parts and not by.sees_owners:
        raise AddressRefused(_("Deadlines are for the planner and the office: leave them out."))
    if address.kind in OWN_PARTS and not shows.parts:
        raise AddressRefused(_("Tick at least one: a calendar shows something."))
    address.parts = sorted(set(shows.parts))
    address.alarm_min, address.draft_m = shows.alarm_min, shows.draft_m
    try:
        address.full_clean()
    except ValidationError as error:
        raise AddressRefused(" ".join(error.messages)) from error


def change_shows(address: CalendarAddress, shows: Shows, *, by: Rights, now: datetime) -> None:
    """What a calendar shows beside its jobs, at the address that it has. Raises AddressRefused."""
    with transaction.atomic():
        address = _still_there(address)
        address.changed_at = now
        _put(address, shows, by)
        address.save()


def _still_there(address: CalendarAddress) -> CalendarAddress:
    """The row, locked. Raises AddressRefused where it is withdrawn."""
    address = CalendarAddress.objects.select_for_update().get(pk=address.pk)
    if address.withdrawn_at is not None:
        raise AddressRefused(_("This calendar is withdrawn already: make a new one."))
    return address


def _subject_field(wish: Wish) -> dict[str, Person | Boat | Owner | Place]:
    wanted = {Kind.PERSON: Person, Kind.BOAT: Boat, Kind.OWNER: Owner, Kind.PLACE: Place}.get(Kind(wish.kind))
    if wanted is None:
        return {}
    if not isinstance(wish.subject, wanted):
        raise AddressRefused(_("Say which {kind} it is for.").format(kind=wish.kind))
    return {str(wish.kind): wish.subject}


def change_address(address: CalendarAddress, action: str, *, now: datetime, name: str = "") -> CalendarAddress:
    """pause, resume, rename, replace or withdraw. Gives the address, and for "replace" the new one.

    Raises AddressRefused for an address that is withdrawn, and for anything else than these.
    """
    with transaction.atomic():
        address = _still_there(address)
        match action:
            case "pause":
                address.paused_at = now
            case "resume":
                address.paused_at = None
            case "rename" if name.strip():
                address.name = name.strip()[:80]
            case "rename":
                raise AddressRefused(_("A calendar needs a name."))
            case "replace":
                return _replace(address, now)
            case "withdraw":
                address.withdrawn_at = now
            case _:
                raise AddressRefused(_("“{action}” is nothing that a calendar can do.").format(action=action))
        address.changed_at = now
        address.save()
    return address


def _replace(address: CalendarAddress, now: datetime) -> CalendarAddress:
    """The same calendar at a new address; whoever has the old one reads that it is withdrawn."""
    fresh = CalendarAddress(
        kind=address.kind,
        person=address.person,
        boat=address.boat,
        owner=address.owner,
        place=address.place,
        name=address.name,
        parts=address.parts,
        draft_m=address.draft_m,
        alarm_min=address.alarm_min,
        made_by=address.made_by,
        made_at=now,
        changed_at=now,
        paused_at=address.paused_at,
    )
    fresh.token_sha256 = hash_of(_token(fresh))
    fresh.save()
    address.withdrawn_at = address.changed_at = now
    address.replaced_by = fresh
    address.save()
    return fresh
