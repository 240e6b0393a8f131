"""Reads of calendars: whether entries are up to date, an address by its token, what an address shows."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.conf import settings
from django.contrib.auth.models import AnonymousUser, User
from django.db.models import Exists, Max, OuterRef, Q, QuerySet, Subquery
from django.db.models.expressions import Combinable

from yard.feeds.keeping import CANCELLED_STAYS, HISTORY
from yard.models import (
    CalendarAddress,
    FactsRevision,
    FeedEntry,
    FeedMember,
    FeedPart,
    FeedState,
    Plan,
    Telling,
    YardSettings,
)


def _first(rows: QuerySet[Any], column: str) -> Subquery:
    return Subquery(rows.values(column)[:1])


_YARD = YardSettings.objects.filter(pk=1)
SOURCES: Mapping[str, Combinable] = {
    "plan_now": _first(Plan.objects.filter(state=Plan.State.POSTED).order_by("id"), "pk"),
    "facts_now": _first(FactsRevision.objects.filter(pk=1), "count"),
    "told_now": Subquery(Telling.objects.order_by().values().annotate(last=Max("pk")).values("last")[:1]),
    "yard_version": _first(_YARD, "version"),
    "zone": _first(_YARD, "time_zone"),
    "frozen_at": _first(_YARD, "clock_frozen_at"),
}
"""Annotations of FeedState: all that says whether entries are up to date, in one query."""


def feed_sources(state: FeedState) -> str:
    """What entries show, as one text; `state` is annotated with SOURCES."""
    told: Any = state
    parts = (told.plan_now, told.facts_now, told.told_now, told.yard_version, settings.SITE_ADDRESS)
    return " ".join(str(part) for part in parts)[:120]


def feed_state() -> FeedState | None:
    """The state, annotated with SOURCES; None before anything was ever written. One query."""
    return FeedState.objects.annotate(**SOURCES).filter(pk=1).first()


def address_by_hash(token_sha256: str) -> CalendarAddress | None:
    """The address with its maker, and whether the maker is in the planners' group, or in one that sees owners."""
    groups = User.groups.through.objects.filter(user=OuterRef("made_by"))
    return (
        CalendarAddress.objects.filter(token_sha256=token_sha256)
        .select_related("made_by")
        .annotate(
            maker_plans=Exists(groups.filter(group__name="planner")),
            maker_sees_owners=Exists(groups.filter(group__name__in=["planner", "office"])),
        )
        .first()
    )


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
