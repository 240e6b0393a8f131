"""From events to bytes, with icalendar. The same events give the same bytes, whenever they are written.

An event is written by itself, so that a feed is put together from texts that were written when the event changed.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import Alarm, Calendar, Component, Event, vDuration, vText

from yard.feeds.event import MOST_MINUTES_BEFORE, Days, EventError, FeedEvent, FeedHead, Hours
from yard.feeds.text import clean
from yard.feeds.wording import description, title
from yard.feeds.zone import timezone_of
from yard.speech import _, ngettext

PRODID = "-//Yard//Season planner//EN"
MOST_BYTES = 1_000_000
"""Some providers refuse more (feeds of this yard are far below: a thousand typical events are half of it)."""
_EVENT_ENDS = b"END:VEVENT\r\n"
_CALENDAR_ENDS = b"END:VCALENDAR\r\n"


def write_event(event: FeedEvent, *, zone: str) -> bytes:
    """One VEVENT, folded, with CRLF at each line's end."""
    shown, revision = event.shown, event.revision
    made = Event()
    made.add("uid", str(event.uid))
    made.add("dtstamp", _whole(revision.revised_at))
    made.add("created", _whole(revision.made_at))
    made.add("last-modified", _whole(revision.revised_at))
    made.add("sequence", revision.sequence)
    _add_when(made, event, zone)
    made.add("summary", title(event))
    if words := description(event):
        made.add("description", words)
    if place := clean(shown.location):
        made.add("location", place)
    if shown.geo is not None:
        made.add("geo", (shown.geo.latitude, shown.geo.longitude))
    if shown.categories:
        made.add("categories", [clean(each) for each in shown.categories])
    if shown.url:
        made.add("url", shown.url)
    made.add("status", "CANCELLED" if revision.cancelled else "CONFIRMED" if shown.firm else "TENTATIVE")
    made.add("transp", "OPAQUE" if shown.busy and not revision.cancelled else "TRANSPARENT")
    return _bytes_of(made)


def _bytes_of(made: Component) -> bytes:
    text: bytes = made.to_ical()
    return text


def _add_when(made: Event, event: FeedEvent, zone: str) -> None:
    match event.shown.when:
        case Days(first=first, until=until):
            made.add("dtstart", first)
            made.add("dtend", until)
        case Hours(starts_at=starts, ends_at=ends):
            moments = [starts, ends]
            if not any(is_doubtful(at, zone) for at in moments):
                moments = [at.astimezone(ZoneInfo(zone)) for at in moments]
            made.add("dtstart", moments[0])
            made.add("dtend", moments[1])


def is_doubtful(at: datetime, zone: str) -> bool:
    """In the hour that the clock shows twice a local time names two instants; such an event is written in UTC.

    (RFC 5545 takes the first of them; clients differ.)  UTC itself and zones of its kind have no local times.
    """
    local = at.astimezone(ZoneInfo(zone)).replace(fold=0)
    return local.utcoffset() != local.replace(fold=1).utcoffset()


def write_alarm(minutes_before: int) -> bytes:
    """A VALARM that shows a line so many minutes before the start."""
    if not 0 <= minutes_before <= MOST_MINUTES_BEFORE:
        raise EventError(f"an alarm rings 0 to {MOST_MINUTES_BEFORE} minutes before, not {minutes_before}")
    made = Alarm()
    made.add("action", "DISPLAY")
    made.add("description", _starts(minutes_before))
    made.add("trigger", -timedelta(minutes=minutes_before))
    return _bytes_of(made)


def _starts(minutes: int) -> str:
    if not minutes:
        return _("Starts now")
    return ngettext("Starts in {n} minutes", "Starts in {n} minutes", minutes).format(n=minutes)


def with_alarm(event: bytes, alarm: bytes) -> bytes:
    """A written event with a written alarm inside."""
    if not event.endswith(_EVENT_ENDS):
        raise EventError("this is no whole event")
    return event[: -len(_EVENT_ENDS)] + alarm + _EVENT_ENDS


def write_calendar(head: FeedHead, events: Iterable[bytes], *, years: tuple[int, int]) -> bytes:
    """The whole calendar: its head, its zone, and events as write_event gave them.

    years: of the earliest and the latest event.

    Two properties are left out because of clients that misread them: X-WR-TIMEZONE (events in UTC were taken for local
    times, an hour wrong in the hour that comes twice) and a UID of the calendar itself, though RFC 7986 has one (all
    events were taken for one).

    Raises EventError for a calendar without events, which some clients refuse and others read as "all gone", and for
    one beyond MOST_BYTES.
    """
    texts = list(events)
    if not texts:
        raise EventError("a calendar without events is not written: put a placeholder into it")
    made = Calendar()
    made.add("prodid", PRODID)
    made.add("version", "2.0")
    made.add("calscale", "GREGORIAN")
    name = vText(clean(head.name))
    made.add("name", name)
    made.add("x-wr-calname", name)
    if head.description:
        made.add("description", vText(clean(head.description)))
    made.add("color", head.color)
    every = timedelta(minutes=head.refresh_min)
    made.add("refresh-interval", every, parameters={"VALUE": "DURATION"})
    made.add("x-published-ttl", vDuration(every))
    made.add_component(timezone_of(head.zone, *years))
    whole = _bytes_of(made)
    body = whole[: -len(_CALENDAR_ENDS)] + b"".join(texts) + _CALENDAR_ENDS
    if len(body) > MOST_BYTES:
        raise EventError(f"the calendar has {len(body)} bytes; more than {MOST_BYTES} are refused by some clients")
    return body


def write_feed(head: FeedHead, events: Sequence[FeedEvent], *, alarm_min: int | None = None) -> bytes:
    """A calendar from its events, in the order of their starts; for files and for one event by itself."""
    ordered = sorted(events, key=lambda event: (_start(event, head.zone), str(event.uid)))
    alarm = None if alarm_min is None else write_alarm(alarm_min)
    texts = []
    for event in ordered:
        text = write_event(event, zone=head.zone)
        texts.append(with_alarm(text, alarm) if alarm and rings(event) else text)
    starts = [_start(event, head.zone).year for event in ordered]
    return write_calendar(head, texts, years=(min(starts, default=2000), max(starts, default=2000) + 1))


def rings(event: FeedEvent) -> bool:
    """Whether an alarm makes sense: at a time of day, for what takes place and takes the reader's time."""
    return isinstance(event.shown.when, Hours) and event.shown.busy and not event.revision.cancelled


def _start(event: FeedEvent, zone: str) -> datetime:
    match event.shown.when:
        case Hours(starts_at=starts):
            return starts
        case Days(first=first):
            return midnight(first, zone)


def midnight(day: date, zone: str) -> datetime:
    """The instant at which the day begins in the zone."""
    return datetime(day.year, day.month, day.day, tzinfo=ZoneInfo(zone)).astimezone(UTC)


def _whole(at: datetime) -> datetime:
    return at.astimezone(UTC).replace(microsecond=0)
