"""What the calendar pages show: an address to copy, to open and to point a phone at, and what will be seen."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import segno
from django.http import HttpRequest
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from yard.models import CalendarAddress, FeedEntry, FeedMember, FeedPart, Owner, YardSettings
from yard.queries.feeds import entries_shown, members_shown
from yard.services.feeds.addresses import AddressRefused, Rights, token_of
from yard.services.feeds.jobs import COULD_MOVE
from yard.web.access import may
from yard.web.units import height, height_unit, local

SHOWN_AHEAD = 5
Kind = CalendarAddress.Kind


@dataclass(frozen=True)
class Where:
    """The address as https and as webcal, and a square of it for a phone's camera."""

    https: str
    webcal: str
    square: SafeString


@dataclass(frozen=True)
class Line:
    """One event to come. day: "" for today."""

    day: str
    starts: str
    ends: str
    title: str
    where: str
    cancelled: bool


@dataclass(frozen=True)
class OwnersRow:
    """A line of an owner's list."""

    starts_at: datetime
    title: str
    sure: str
    risks: str
    cancelled: bool


def owners_rows(owner: Owner, *, now: datetime) -> list[OwnersRow]:
    """What is planned for an owner's boats from today on, and what was cancelled lately. One query."""
    rows = members_shown(Kind.OWNER, owner.pk, now=now).filter(taken_off_at=None, entry__ends_at__gt=now)
    return [_owners_row(row.entry) for row in rows]


def _owners_row(entry: FeedEntry) -> OwnersRow:
    notes: list[str] = entry.content["notes"]
    off = entry.cancelled_at is not None
    done = "Done." in notes
    sure = "cancelled" if off else "done" if done else "firm" if entry.content["firm"] else "provisional"
    risks = next((note.partition(": ")[2].rstrip(".") for note in notes if note.startswith(COULD_MOVE)), "")
    return OwnersRow(entry.starts_at, entry.content["summary"], sure, "" if off else risks, off)


def parts_words(address: CalendarAddress, yard: YardSettings) -> list[str]:
    """What it shows beside its kind, in words."""
    words = []
    for part in address.parts:
        label = str(FeedPart(part).label)
        draft = address.draft_m
        if part == FeedPart.RAMP and draft is not None:
            label = f"water at the ramp for {height(draft, yard):.1f} {height_unit(yard)}"
        words.append(label)
    return words


def rights_of(request: HttpRequest) -> Rights:
    user = request.user
    return Rights(user, plans=may(user, "plan"), sees_owners=may(user, "see_owners"))  # type: ignore[arg-type]


def where_of(address: CalendarAddress, request: HttpRequest) -> Where | None:
    """None where the address can no longer be shown."""
    try:
        token = token_of(address)
    except AddressRefused:
        return None
    https = request.build_absolute_uri(reverse("feed", args=[token]))
    webcal = "webcal://" + https.partition("://")[2]
    # Black modules on a white ground in every colour scheme: cameras do not read the inverse.
    square = segno.make(webcal, error="m", micro=False).svg_inline(
        scale=4, border=3, dark="#000", light="#fff", omitsize=True
    )
    return Where(https, webcal, mark_safe(square))


def lines_ahead(address: CalendarAddress, *, now: datetime) -> list[Line]:
    """The next events that the calendar holds of its jobs, closures or deadlines. One query."""
    if address.subject is not None:
        members = members_shown(address.kind, address.subject.pk, now=now).filter(entry__ends_at__gt=now)[:SHOWN_AHEAD]
        return [_line(member.entry, now, member) for member in members]
    parts = [FeedPart.JOBS.value] if address.kind == Kind.YARD else list(address.parts)
    return [_line(entry, now, None) for entry in entries_shown(parts, now=now).filter(ends_at__gt=now)[:SHOWN_AHEAD]]


def _line(entry: FeedEntry, now: datetime, member: FeedMember | None) -> Line:
    starts, ends = local(entry.starts_at), local(entry.ends_at)
    words = [entry.content["location"], ", ".join(entry.content["people"])]
    off = entry.cancelled_at is not None or (member is not None and member.taken_off_at is not None)
    return Line(
        day="" if starts.date() == local(now).date() else f"{starts:%a} {starts.day} {starts:%b}",
        starts="" if entry.whole_days else f"{starts:%H:%M}",
        ends="" if entry.whole_days else f"{ends:%H:%M}",
        title=entry.content["summary"],
        where=" · ".join(filter(None, words)),
        cancelled=off,
    )
