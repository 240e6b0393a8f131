"""What a calendar is to show of one thing, and how it lies in a row."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from yard.feeds.event import Days, FeedEvent, Geo, Hours, Revision, Shown
from yard.feeds.writing import midnight
from yard.models import FeedEntry

Member = tuple[str, int]
"""Kind of FeedMember and the subject's id."""


@dataclass(frozen=True)
class Wanted:
    """key: what is shown, for ever the same. members: in whose calendars it stands; owners: worded for them."""

    key: str
    part: str
    shown: Shown
    members: frozenset[Member] = field(default_factory=frozenset)
    owners: bool = False
    job: int | None = None


def span_of(shown: Shown, zone: str) -> tuple[datetime, datetime]:
    """[start, end) as instants; whole days from midnight to midnight of the zone."""
    match shown.when:
        case Hours(starts_at=starts, ends_at=ends):
            return starts, ends
        case Days(first=first, until=until):
            return midnight(first, zone), midnight(until, zone)


def content_of(shown: Shown) -> dict[str, Any]:
    """As a table of JSON; of when it is only whole days, which are the same in whatever zone."""
    when = shown.when
    return {
        "days": [when.first.isoformat(), when.until.isoformat()] if isinstance(when, Days) else None,
        "summary": shown.summary,
        "location": shown.location,
        "people": list(shown.people),
        "notes": list(shown.notes),
        "categories": list(shown.categories),
        "geo": None if shown.geo is None else [shown.geo.latitude, shown.geo.longitude],
        "url": shown.url,
        "firm": shown.firm,
        "busy": shown.busy,
    }


def shown_of(entry: FeedEntry) -> Shown:
    """What an entry shows, read back from its row."""
    told: dict[str, Any] = entry.content
    days = told["days"]
    return Shown(
        summary=told["summary"],
        when=Days(*map(date.fromisoformat, days)) if days else Hours(entry.starts_at, entry.ends_at),
        location=told["location"],
        people=tuple(told["people"]),
        notes=tuple(told["notes"]),
        categories=tuple(told["categories"]),
        geo=None if told["geo"] is None else Geo(*told["geo"]),
        url=told["url"],
        firm=told["firm"],
        busy=told["busy"],
    )


def event_of(entry: FeedEntry) -> FeedEvent:
    """The entry as an event, with its identity and its revision."""
    revision = Revision(
        sequence=entry.sequence,
        made_at=entry.made_at,
        revised_at=entry.revised_at,
        cancelled=entry.cancelled_at is not None,
        changed=tuple(entry.changed),
    )
    return FeedEvent(entry.uid, shown_of(entry), revision)
