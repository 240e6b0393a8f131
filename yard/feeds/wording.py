"""The words of an event: its title, its description, and what changed since its last revision."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from yard.day_names import MONTHS, WEEKDAYS
from yard.feeds.event import Days, FeedEvent, Hours, Shown, When
from yard.feeds.text import clean

CANCELLED = "CANCELLED"


def title(event: FeedEvent) -> str:
    """Some clients show a cancelled event as if it stood, so the title says it too."""
    summary = clean(event.shown.summary)
    return f"{CANCELLED}: {summary}" if event.revision.cancelled else summary


def description(event: FeedEvent) -> str:
    """Lines: cancelled or provisional, who, notes, and what changed."""
    shown, revision = event.shown, event.revision
    lines = []
    if revision.cancelled:
        lines.append("Cancelled.")
    elif not shown.firm:
        lines.append("Provisional: it may move.")
    if shown.people:
        lines.append(f"With {', '.join(shown.people)}.")
    lines += shown.notes
    if revision.changed:
        lines.append(" ".join(["Changed:", *revision.changed]))
    return "\n".join(filter(None, (clean(line, keep_lines=True) for line in lines)))


def changes(before: Shown, after: Shown, *, zone: str, was_cancelled: bool = False) -> tuple[str, ...]:
    """What somebody who knew the event before must be told; empty where nothing changed."""
    found = []
    if was_cancelled:
        found.append("it takes place again.")
    if before.when != after.when:
        found.append(f"was {when_words(before.when, zone)}.")
    if before.summary != after.summary:
        found.append(f"was called “{before.summary}”.")
    if before.location != after.location:
        found.append(f"place was {before.location or 'not named'}.")
    if before.people != after.people:
        found.append(f"people were {', '.join(before.people) or 'not named'}.")
    if before.firm != after.firm:
        found.append("no longer provisional." if after.firm else "was firm, is provisional now.")
    if not found and before != after:
        found.append("its notes.")
    return tuple(found)


def when_words(when: When, zone: str) -> str:
    """Fri 7 May 07:30 to 11:45, on the yard's clock; the year is left out as in speech."""
    match when:
        case Hours(starts_at=starts, ends_at=ends):
            one, two = starts.astimezone(ZoneInfo(zone)), ends.astimezone(ZoneInfo(zone))
            until = f"{two:%H:%M}" if one.date() == two.date() else f"{_day(two)} {two:%H:%M}"
            return f"{_day(one)} {one:%H:%M} to {until}"
        case Days(first=first):
            return _day(datetime(first.year, first.month, first.day))


def _day(at: datetime) -> str:
    return f"{WEEKDAYS[at.weekday()]} {at.day} {MONTHS[at.month - 1]}"
