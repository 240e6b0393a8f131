"""What the calendar pages show: an address to copy, to open and to point a phone at, and what will be seen."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

import segno
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import CalendarAddress, FeedEntry, FeedMember, FeedPart, Owner, YardSettings
from yard.queries.feeds import StateNow, entries_shown, members_shown
from yard.services.feeds.addresses import OWN_PARTS, AddressRefused, Rights, token_of
from yard.services.feeds.jobs import is_told_done, risks_told
from yard.services.feeds.reading import ground_of, up_to_date_state
from yard.services.feeds.reckoned import reckoned
from yard.speech import number
from yard.web.access import may
from yard.web.calendars.forms import PartsForm
from yard.web.request import YardRequest, who
from yard.web.units import height, height_unit, local

SHOWN_AHEAD, RECKONED_AHEAD = 5, 2
MOMENT = timedelta(minutes=1)
"""A high water is a minute in calendars, which know no moments."""
Kind = CalendarAddress.Kind


@dataclass(frozen=True)
class Where:
    """The address as https and as webcal, and a square of it for a phone's camera."""

    https: str
    webcal: str
    square: SafeString


@dataclass(frozen=True)
class Line:
    """One event to come. day: "" for today. uid: by which it can be had as a file; "" where it cannot."""

    at: datetime
    day: str
    starts: str
    ends: str
    title: str
    where: str = ""
    cancelled: bool = False
    uid: str = ""


@dataclass(frozen=True)
class OwnersRow:
    """A line of an owner's list."""

    days: str
    title: str
    sure: str
    risks: str
    uid: str
    cancelled: bool


def owners_rows(owner: Owner, *, now: datetime) -> list[OwnersRow]:
    """What is planned for an owner's boats from today on, and what was cancelled lately. One query."""
    rows = members_shown(Kind.OWNER, owner.pk, now=now).filter(taken_off_at=None, entry__ends_at__gt=now)
    return [_owners_row(row.entry) for row in rows]


def _owners_row(entry: FeedEntry) -> OwnersRow:
    notes: list[str] = entry.content["notes"]
    off = entry.cancelled_at is not None
    done = is_told_done(notes)
    sure = _("cancelled") if off else _("done") if done else _("firm") if entry.content["firm"] else _("provisional")
    risks = risks_told(notes)
    first, until = (date.fromisoformat(day) for day in entry.content["days"])
    last = until - timedelta(days=1)
    days = said(last, "D j M Y")
    if first < last:
        days = _("{first} to {last}").format(first=said(first, "D j M"), last=days)
    return OwnersRow(days, entry.content["summary"], sure, "" if off else risks, str(entry.uid), off)


def parts_words(address: CalendarAddress, yard: YardSettings) -> list[str]:
    """What it shows beside its kind, in words."""
    words = []
    for part in address.parts:
        label = str(FeedPart(part).label)
        draft = address.draft_m
        if part == FeedPart.RAMP and draft is not None:
            label = _("water at the ramp for {draft}").format(
                draft=f"{number(height(draft, yard), 1)} {height_unit(yard)}"
            )
        words.append(label)
    return words


def rights_of(request: YardRequest) -> Rights:
    user = who(request)
    return Rights(user, plans=may(user, "plan"), sees_owners=may(user, "see_owners"))


def where_of(address: CalendarAddress, request: YardRequest) -> Where | None:
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


def calendar_page(address: CalendarAddress, form: PartsForm, request: YardRequest) -> dict[str, object]:
    """All that the page of one calendar shows."""
    yard: YardSettings = request.yard
    rights, state = rights_of(request), up_to_date_state(timezone.now())
    may_still = rights.may(address.kind) and (rights.sees_owners or FeedPart.DEADLINES not in address.parts)
    return {
        "address": address,
        "form": form,
        "where": where_of(address, request),
        "lines": lines_ahead(address, state, yard) if state is not None and may_still else [],
        "parts": parts_words(address, yard),
        "may_still": may_still,
        "of_jobs": address.kind not in OWN_PARTS,
        "names_owners": FeedPart.DEADLINES in address.parts,
    }


def lines_ahead(address: CalendarAddress, state: StateNow, yard: YardSettings) -> list[Line]:
    """The next events that the calendar holds, a few of each part, by start. At most two queries."""
    now, found = state.now, []
    parts = set(address.parts) | ({FeedPart.JOBS.value} if address.kind == Kind.YARD else set())
    if address.subject is not None:
        members = members_shown(address.kind, address.subject.pk, now=now).filter(entry__ends_at__gt=now)[:SHOWN_AHEAD]
        found += [_line(member.entry, now, member) for member in members]
    if stored := sorted(parts & {FeedPart.JOBS, FeedPart.CLOSURES, FeedPart.DEADLINES}):
        rows = entries_shown(stored, now=now).filter(ends_at__gt=now)[:SHOWN_AHEAD]
        found += [_line(entry, now, None) for entry in rows]
    ground = ground_of(state, yard)
    for part in sorted(parts & {FeedPart.HIGHS_LOWS, FeedPart.RAMP, FeedPart.DAYLIGHT}):
        coming = [each for each in reckoned(ground, part, address.draft_m) if each.ends_at > now][:RECKONED_AHEAD]
        found += [_at(now, each.starts_at, each.ends_at, each.title, each.whole_days) for each in coming]
    return sorted(found, key=lambda line: line.at)


def _line(entry: FeedEntry, now: datetime, member: FeedMember | None) -> Line:
    words = [entry.content["location"], ", ".join(entry.content["people"])]
    off = entry.cancelled_at is not None or (member is not None and member.taken_off_at is not None)
    line = _at(now, entry.starts_at, entry.ends_at, entry.content["summary"], entry.whole_days)
    return replace(line, where=" · ".join(filter(None, words)), cancelled=off, uid="" if off else str(entry.uid))


def _at(now: datetime, starts_at: datetime, ends_at: datetime, title: str, whole_days: bool) -> Line:
    starts, ends = local(starts_at), local(ends_at)
    return Line(
        at=starts_at,
        day="" if starts.date() == local(now).date() else said(starts, "D j M"),
        starts="" if whole_days else f"{starts:%H:%M}",
        ends="" if whole_days or ends - starts <= MOMENT else f"{ends:%H:%M}",
        title=title,
    )
