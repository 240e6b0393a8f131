"""Reads of calendars: whether entries are up to date, an address by its token, what an address shows."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.contrib.auth.models import AnonymousUser, User
from django.db.models import Q, QuerySet

from yard.feeds.keeping import CANCELLED_STAYS, HISTORY
from yard.models import CalendarAddress, FeedEntry, FeedMember, FeedPart, FeedState

STATE = """
SELECT state.*, yard.version AS yard_version, yard.clock_frozen_at AS frozen_at, yard.next_sale_on AS sale_on,
  (SELECT MIN(id) FROM yard_plan WHERE state = 'posted') AS plan_now,
  (SELECT MAX(count) FROM yard_factsrevision) AS facts_now,
  (SELECT MAX(id) FROM yard_telling) AS told_now,
  (SELECT COUNT(taken_back_at) FROM yard_telling) AS untold_now,
  (SELECT MAX(id) FROM yard_gaugereading WHERE boat_id IS NOT NULL) AS floated_now
FROM yard_feedstate AS state LEFT JOIN yard_yardsettings AS yard ON yard.id = 1 WHERE state.id = 1
"""
ADDRESS = """
SELECT address.*, maker.is_active AS maker_active, maker.is_superuser AS maker_rules,
  EXISTS (SELECT 1 FROM auth_user_groups AS one JOIN auth_group AS role ON role.id = one.group_id
    WHERE one.user_id = maker.id AND role.name = 'planner') AS maker_plans,
  EXISTS (SELECT 1 FROM auth_user_groups AS one JOIN auth_group AS role ON role.id = one.group_id
    WHERE one.user_id = maker.id AND role.name = 'office') AS maker_calls
FROM yard_calendaraddress AS address LEFT JOIN auth_user AS maker ON maker.id = address.made_by_id
WHERE address.token_sha256 = %s
"""
"""Every client asks both at each fetch, mostly to hear that nothing changed; to have them put into words anew each time
took two thirds of that answer, so they stand here in words."""


@dataclass(frozen=True)
class StateNow:
    """What calendars were last told, and all that says whether it still holds. sources: a hash of the latter.

    now: the yard's clock, which stands still in an example; today: its day in the zone that entries are written in.
    sale_due: a boat's day of sale has come, and she has not changed hands yet.
    """

    row: FeedState
    sources: str
    yard_version: int
    now: datetime
    today: date
    sale_due: bool

    @property
    def up_to_date(self) -> bool:
        return self.row.read_of == self.sources


def feed_state(*, real_now: datetime) -> StateNow | None:
    """None before anything was ever written, and for a yard without settings. One query.

    The day is one of the sources: boats change hands at a day's beginning, without anybody writing anything.
    """
    rows: Iterable[Any] = FeedState.objects.raw(STATE)
    row = next(iter(rows), None)
    if row is None or row.yard_version is None:
        return None
    now = _instant(row.frozen_at) or real_now
    today = now.astimezone(ZoneInfo(row.zone or "UTC")).date()
    made_of = (
        row.plan_now,
        row.facts_now,
        row.told_now,
        row.untold_now,
        row.floated_now,
        row.yard_version,
        today.isoformat(),
        settings.SITE_ADDRESS,
    )
    sources = hashlib.sha256(repr(made_of).encode("utf-8", "backslashreplace")).hexdigest()
    due = row.sale_on is not None and date.fromisoformat(str(row.sale_on)[:10]) <= today
    return StateNow(row, sources, row.yard_version, now, today, due)


def _instant(told: datetime | None) -> datetime | None:
    """SQLite gives a time that is no column of the model without its zone; it is kept in UTC."""
    return told.replace(tzinfo=UTC) if told is not None and told.tzinfo is None else told


@dataclass(frozen=True)
class Maker:
    """Of an address, as the account is now. here: there is such an account and it may sign in."""

    here: bool
    plans: bool
    sees_owners: bool


def address_by_hash(token_sha256: str) -> tuple[CalendarAddress, Maker] | None:
    """The address and what its maker may. One query."""
    rows: Iterable[Any] = CalendarAddress.objects.raw(ADDRESS, [token_sha256])
    row = next(iter(rows), None)
    if row is None:
        return None
    plans = bool(row.maker_plans or row.maker_rules)
    return row, Maker(bool(row.maker_active), plans, plans or bool(row.maker_calls))


def addresses_of(user: User | AnonymousUser | None) -> QuerySet[CalendarAddress]:
    """Addresses not withdrawn that this account made (None: everybody's), with their subjects at hand, by name."""
    rows = CalendarAddress.objects.filter(withdrawn_at=None)
    rows = rows if user is None else rows.filter(made_by=user.pk)
    return rows.select_related("person", "boat", "owner", "place", "made_by").order_by("name", "id")


def feed_entries_for(*, sees_owners: bool) -> QuerySet[FeedEntry]:
    """Entries that a person of the yard may take away one by one."""
    rows = FeedEntry.objects.all()
    return rows if sees_owners else rows.filter(owners=False).exclude(part=FeedPart.DEADLINES)


def entries_shown(parts: list[str], *, now: datetime) -> QuerySet[FeedEntry]:
    """Entries of these parts worded for the yard that a calendar still shows, by start."""
    return (
        FeedEntry.objects.filter(part__in=parts, owners=False, ends_at__gt=now - HISTORY)
        .filter(Q(cancelled_at=None) | Q(cancelled_at__gt=now - CANCELLED_STAYS))
        .order_by("starts_at", "uid")
    )


def members_shown(kind: str, subject: int, *, now: datetime) -> QuerySet[FeedMember]:
    """Jobs in the calendar of one person, boat, owner or place, those it was taken off too, by start."""
    since = now - CANCELLED_STAYS
    return (
        FeedMember.objects.filter(
            kind=kind, subject=subject, entry__part=FeedPart.JOBS, entry__ends_at__gt=now - HISTORY
        )
        .filter(Q(entry__cancelled_at=None) | Q(entry__cancelled_at__gt=since) | Q(taken_off_at__isnull=False))
        .filter(Q(taken_off_at=None) | Q(taken_off_at__gt=since))
        .select_related("entry")
        .order_by("entry__starts_at", "entry__uid")
    )
