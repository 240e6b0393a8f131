"""What a calendar keeps and for how long, and the marks by which an unchanged one is known."""

from __future__ import annotations

import hashlib
import json
from datetime import datetime, timedelta

from yard.feeds.event import Days, Hours, Shown

HISTORY = timedelta(days=60)
"""An emptied calendar makes some clients fail, so what is over stays for a while."""
CANCELLED_STAYS = timedelta(days=14)
"""Long enough for every client to have read it; some show cancelled events as live, so it goes afterwards."""
WITHDRAWN_SAYS_SO = timedelta(days=30)
"""A client keeps old events after 404 or 410; so a withdrawn calendar first has one event that says so."""


def is_gone(withdrawn_at: datetime, now: datetime) -> bool:
    """Whether a withdrawn address answers 410, after the time in which it said so in the calendar itself."""
    return now >= withdrawn_at + WITHDRAWN_SAYS_SO


def fingerprint(shown: Shown) -> str:
    """Equal for equal content, whatever its revision; 64 hexadecimal digits."""
    match shown.when:
        case Hours(starts_at=starts, ends_at=ends):
            when = [starts.isoformat(), ends.isoformat()]
        case Days(first=first, until=until):
            when = [first.isoformat(), until.isoformat()]
    geo = None if shown.geo is None else [shown.geo.latitude, shown.geo.longitude]
    content = [
        shown.summary,
        when,
        shown.location,
        shown.people,
        shown.notes,
        shown.categories,
        geo,
        shown.url,
        shown.firm,
        shown.busy,
    ]
    return hashlib.sha256(json.dumps(content).encode("ascii")).hexdigest()


def tag_of(body: bytes) -> str:
    """A strong entity tag of these bytes, with its quotation marks (RFC 9110, 8.8.3)."""
    return f'"{hashlib.sha256(body).hexdigest()[:32]}"'


def next_revised_at(before: datetime, now: datetime) -> datetime:
    """When the revision is stamped: now, but later than the one before, whatever the clocks say; whole seconds."""
    return max(now.replace(microsecond=0), before.replace(microsecond=0) + timedelta(seconds=1))
