"""The words of an event: its title, its description, and what changed since its last revision."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from yard.day_names import said
from yard.feeds.event import Days, FeedEvent, Hours, Shown, When
from yard.feeds.text import clean
from yard.speech import _, gettext_noop

CANCELLED = gettext_noop("CANCELLED")


def title(event: FeedEvent) -> str:
    """Some clients show a cancelled event as if it stood, so the title says it too."""
    summary = clean(event.shown.summary)
    return f"{_(CANCELLED)}: {summary}" if event.revision.cancelled else summary


def description(event: FeedEvent) -> str:
    """Lines: cancelled or provisional, who, notes, and what changed."""
    shown, revision = event.shown, event.revision
    lines = []
    if revision.cancelled:
        lines.append(_("Cancelled."))
    elif not shown.firm:
        lines.append(_("Provisional: it may move."))
    if shown.people:
        lines.append(_("With {people}.").format(people=", ".join(shown.people)))
    lines += shown.notes
    if revision.changed:
        lines.append(" ".join([_("Changed:"), *revision.changed]))
    return "\n".join(filter(None, (clean(line, keep_lines=True) for line in lines)))


def changes(before: Shown, after: Shown, *, zone: str, was_cancelled: bool = False) -> tuple[str, ...]:
    """What somebody who knew the event before must be told; empty where nothing changed."""
    found = []
    if was_cancelled:
        found.append(_("it takes place again."))
    if before.when != after.when:
        found.append(_("was {when}.").format(when=when_words(before.when, zone)))
    if before.summary != after.summary:
        found.append(_("was called “{title}”.").format(title=before.summary))
    if before.location != after.location:
        found.append(_("place was {place}.").format(place=before.location or _("not named")))
    if before.people != after.people:
        found.append(_("people were {people}.").format(people=", ".join(before.people) or _("not named")))
    if before.firm != after.firm:
        found.append(_("no longer provisional.") if after.firm else _("was firm, is provisional now."))
    if not found and before != after:
        found.append(_("its notes."))
    return tuple(found)


def when_words(when: When, zone: str) -> str:
    """Fri 7 May 07:30 to 11:45, on the yard's clock; the year is left out as in speech."""
    match when:
        case Hours(starts_at=starts, ends_at=ends):
            one, two = starts.astimezone(ZoneInfo(zone)), ends.astimezone(ZoneInfo(zone))
            until = said(two, "H:i" if one.date() == two.date() else "D j M H:i")
            return _("{first} to {last}").format(first=said(one, "D j M H:i"), last=until)
        case Days(first=first):
            return said(first, "D j M")
