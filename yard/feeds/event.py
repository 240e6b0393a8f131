"""What a calendar shows: an event's content, its revision, and both with an identity."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from math import isfinite
from urllib.parse import urlsplit
from uuid import UUID

from yard.feeds.text import clean

LONGEST_SUMMARY = 300
LONGEST_NOTE = 8_000
"""Letters. A calendar of a thousand events must stay under a megabyte; longer notes belong on a page."""
MOST_MINUTES_BEFORE = 7 * 24 * 60


class EventError(ValueError):
    """Something that no calendar can show rightly; the text says what."""


@dataclass(frozen=True, slots=True)
class Hours:
    """From one instant to another, [starts_at, ends_at), kept in UTC. Calendars show whole seconds."""

    starts_at: datetime
    ends_at: datetime

    def __post_init__(self) -> None:
        for at in (self.starts_at, self.ends_at):
            if at.tzinfo is None or at.utcoffset() is None:
                raise EventError(f"{at.isoformat()} has no time zone: calendars would each read it as their own")
            if at.microsecond:
                raise EventError(f"{at.isoformat()} is no whole second")
        object.__setattr__(self, "starts_at", self.starts_at.astimezone(UTC))
        object.__setattr__(self, "ends_at", self.ends_at.astimezone(UTC))
        if self.ends_at <= self.starts_at:
            raise EventError(f"it ends at {self.ends_at.isoformat()}, not after it starts")


@dataclass(frozen=True, slots=True)
class Days:
    """Whole days of the yard's calendar, [first, until): until is the first day after."""

    first: date
    until: date

    def __post_init__(self) -> None:
        if isinstance(self.first, datetime) or isinstance(self.until, datetime):
            raise EventError("whole days are dates, not times")
        if self.until <= self.first:
            raise EventError(f"its days end with {self.until}, not after {self.first}")


When = Hours | Days


@dataclass(frozen=True, slots=True)
class Geo:
    """Degrees; north and east are positive."""

    latitude: float
    longitude: float

    def __post_init__(self) -> None:
        if not (isfinite(self.latitude) and isfinite(self.longitude)):
            raise EventError("a position is two finite numbers")
        if abs(self.latitude) > 90 or abs(self.longitude) > 180:
            raise EventError(f"{self.latitude}, {self.longitude} is no position on earth")


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What an event says. Two equal ones are the same to whoever reads the calendar.

    firm: confirmed, else tentative.  busy: it takes the reader's time; a tide or a deadline does not.
    people: names as the plan prints them.  notes: lines for the description, in their order.
    """

    summary: str
    when: When
    location: str = ""
    people: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    categories: tuple[str, ...] = ()
    geo: Geo | None = None
    url: str = ""
    firm: bool = True
    busy: bool = True

    def __post_init__(self) -> None:
        if not clean(self.summary):
            raise EventError("an event needs a summary")
        if len(self.summary) > LONGEST_SUMMARY:
            raise EventError(f"a summary has at most {LONGEST_SUMMARY} letters, not {len(self.summary)}")
        if (long := sum(map(len, self.notes))) > LONGEST_NOTE:
            raise EventError(f"its notes have {long} letters; at most {LONGEST_NOTE} belong in a calendar")
        if self.url and urlsplit(self.url).scheme not in ("http", "https"):
            raise EventError(f"{self.url!r} is no address of a page")


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """How often and when an event's content changed. sequence rises by one, revised_at strictly, at each change.

    changed: what the last change was, a line each.  cancelled: it does not take place.
    """

    sequence: int
    made_at: datetime
    revised_at: datetime
    cancelled: bool = False
    changed: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.sequence < 0:
            raise EventError("a count of revisions is not negative")
        for at in (self.made_at, self.revised_at):
            if at.tzinfo is None:
                raise EventError(f"{at.isoformat()} has no time zone")
        if self.revised_at < self.made_at:
            raise EventError("it was revised before it was made")


@dataclass(frozen=True, slots=True)
class FeedEvent:
    """One event of a calendar. uid is random and stored, and stays with the thing that is shown."""

    uid: UUID
    shown: Shown
    revision: Revision


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedHead:
    """What a calendar says of itself. color: a name of CSS3.  refresh_min: a hint, which big providers ignore."""

    name: str
    zone: str
    description: str = ""
    color: str = "teal"
    refresh_min: int = 60

    def __post_init__(self) -> None:
        if not clean(self.name):
            raise EventError("a calendar needs a name")
        if self.color not in CSS3_COLORS:
            raise EventError(f"{self.color!r} is no colour name of CSS3")
        if self.refresh_min < 1:
            raise EventError("a calendar is read again after at least a minute")


# CSS Color Module Level 3, section 4.3; the names that this yard uses.
CSS3_COLORS = frozenset({"teal", "navy", "darkblue", "steelblue", "darkcyan", "goldenrod", "dimgray", "firebrick"})
