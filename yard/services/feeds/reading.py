"""Whoever fetches a calendar is answered here: from a stored tag, or with bytes put together from stored texts."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from threading import Lock
from uuid import uuid5
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.feeds.clients import client_kind
from yard.feeds.event import Days, FeedEvent, FeedHead, Revision, Shown
from yard.feeds.keeping import is_gone, tag_of
from yard.feeds.writing import MOST_BYTES, midnight, with_alarm, write_alarm, write_calendar, write_event
from yard.models import CalendarAddress, FeedPart, YardSettings
from yard.queries.feeds import Maker, StateNow, address_by_hash, entries_shown, feed_state, members_shown
from yard.services.feeds.addresses import hash_of, may_have
from yard.services.feeds.bring_up_to_date import bring_up_to_date
from yard.services.feeds.reckoned import Ground, reckoned
from yard.services.whole_change.sale_to_come import carry_out_due

Kind = CalendarAddress.Kind
FETCH_NOTED_EVERY = timedelta(minutes=5)
"""A reading sooner after the last by the same client is not written down: it would tell nobody anything."""
BODY_BYTES = MOST_BYTES - 20_000  # the head and the zone are far below
ALARM_BYTES = 120  # of one alarm, rounded up
SHORT_HISTORY = timedelta(days=14)
NO_JOBS = (gettext_noop("Nothing is planned yet"), gettext_noop("Jobs appear here when a plan is posted."))
NOTHING = {
    Kind.TIDES: (
        gettext_noop("No tides to show"),
        gettext_noop("The yard has no tide station or no position yet: they are set on the page Yard."),
    ),
    Kind.CLOSURES: (
        gettext_noop("No closures"),
        gettext_noop("Closures and holidays appear here when they are entered."),
    ),
    Kind.DEADLINES: (gettext_noop("No deadlines"), gettext_noop("Deadlines appear here as plan and facts bring them.")),
}
COLORS = {Kind.TIDES: "steelblue", Kind.CLOSURES: "dimgray", Kind.DEADLINES: "firebrick", Kind.YARD: "navy"}


@dataclass(frozen=True)
class Gone:
    """The address was withdrawn so long ago that every client has read of it."""


@dataclass(frozen=True)
class Unknown:
    """There is no such address."""


@dataclass(frozen=True)
class Readable:
    """An address and all that says whether what was read last still holds. tag: "" where it must be written anew."""

    address: CalendarAddress
    state: StateNow
    written_for: str
    shut: bool

    @property
    def tag(self) -> str:
        return self.address.tag if self.address.written_for == self.written_for else ""


def find_feed(token: str, *, real_now: datetime, user_agent: str) -> Readable | Gone | Unknown:
    """Three queries where nothing changed: the address, the state, and that it was fetched."""
    found, state = address_by_hash(hash_of(token)), None
    if found is not None and found[0].withdrawn_at is None:
        state = up_to_date_state(real_now)
    if state is not None and state.sale_due:  # whoever sold her today reads no more of her
        carry_out_due(now=state.now)
        found, state = address_by_hash(hash_of(token)), up_to_date_state(real_now)
    if found is None:
        return Unknown()
    address, maker = found
    if address.withdrawn_at is not None and is_gone(address.withdrawn_at, real_now):
        return Gone()
    state = state or up_to_date_state(real_now)
    if state is None:
        return Unknown()  # a yard without settings has no calendars
    _note_fetch(address, real_now, client_kind(user_agent))
    shut = _is_shut(address, maker)
    row = state.row
    made_of = (row.count, row.tide_sequence, state.yard_version, state.today, address.changed_at, shut)
    return Readable(address, state, hashlib.sha256(repr(made_of).encode()).hexdigest(), shut)


_in_hand = Lock()


def up_to_date_state(real_now: datetime) -> StateNow | None:
    """The state, first brought up to date where plan or facts changed and the worker has not come to it yet.

    One reader of this process does that; those who come meanwhile read what was last told, and the change next time.
    """
    state = feed_state(real_now=real_now)
    if state is not None and state.up_to_date:
        return state
    if state is None or not state.row.read_of:  # there is nothing yet that could be told
        bring_up_to_date(now=real_now)
    elif _in_hand.acquire(blocking=False):
        try:
            bring_up_to_date(now=real_now)
        finally:
            _in_hand.release()
    else:
        return state
    return feed_state(real_now=real_now)


def _is_shut(address: CalendarAddress, maker: Maker) -> bool:
    """Whether its maker may not have it any more. An owner's calendar outlives the account that made it."""
    if address.kind == Kind.OWNER:
        return False
    may = may_have(address.kind, plans=maker.plans, sees_owners=maker.sees_owners)
    return not (maker.here and may) or (FeedPart.DEADLINES in address.parts and not maker.sees_owners)


def _note_fetch(address: CalendarAddress, real_now: datetime, client: str) -> None:
    last = address.last_fetched_at
    if last is None or real_now - last >= FETCH_NOTED_EVERY or client != address.last_client:
        CalendarAddress.objects.filter(pk=address.pk).update(last_fetched_at=real_now, last_client=client)


def write_body(found: Readable) -> tuple[str, bytes]:
    """Put the calendar together and keep its tag. Gives the tag and the bytes."""
    body = body_of(found)
    tag = tag_of(body)
    CalendarAddress.objects.filter(pk=found.address.pk).update(written_for=found.written_for, tag=tag)
    return tag, body


@dataclass(frozen=True)
class Text:
    """A written event and what is needed to put it in its place."""

    starts_at: datetime
    uid: str
    lines: str


def body_of(found: Readable) -> bytes:
    """The bytes of the calendar now. At most four queries, however many events."""
    yard = YardSettings.objects.get(pk=1)
    address = found.address
    said = _withdrawn_or_paused(found, yard)
    texts = [said] if said else sorted(_texts(found, yard), key=lambda text: (text.starts_at, text.uid))
    if not texts:
        texts = [_placeholder(found, yard, *map(_, NOTHING.get(Kind(address.kind), NO_JOBS)))]
    texts = _fitting(texts, found, yard)
    alarm = None if address.alarm_min is None else write_alarm(address.alarm_min)
    written = [_with_alarm(text.lines, alarm) for text in texts]
    years = (texts[0].starts_at.year, max(text.starts_at.year for text in texts) + 1)
    return write_calendar(head_of(address, yard), written, years=years)


def head_of(address: CalendarAddress, yard: YardSettings) -> FeedHead:
    return FeedHead(
        name=address.name,
        zone=yard.time_zone,
        description=_("{yard}: {kind}. Plans change: the person in charge decides.").format(
            yard=yard.name, kind=address.get_kind_display()
        ),
        color=COLORS.get(Kind(address.kind), "teal"),
    )


def _fitting(texts: list[Text], found: Readable, yard: YardSettings) -> list[Text]:
    """Of a calendar too big for some clients the far end is left out, after old history, and an event says so."""
    sizes = [len(text.lines.encode("utf-8")) + ALARM_BYTES for text in texts]
    total = sum(sizes)
    if total <= BODY_BYTES:
        return texts
    first, last = 0, len(texts)
    while total > BODY_BYTES and texts[first].starts_at < found.state.now - SHORT_HISTORY:
        total -= sizes[first]
        first += 1
    while total > BODY_BYTES:
        last -= 1
        total -= sizes[last]
    if last == len(texts):
        return texts[first:]
    day = texts[last].starts_at.astimezone(ZoneInfo(yard.time_zone)).date()
    note = _("It would be too big for some calendars. The tool's own pages show everything.")
    return [*texts[first:last], _saying(found, yard, day, _("This calendar ends here for now"), note)]


def _with_alarm(lines: str, alarm: bytes | None) -> bytes:
    rings = alarm is not None and "\r\nTRANSP:OPAQUE\r\n" in lines and "\r\nDTSTART;VALUE=DATE:" not in lines
    text = lines.encode("utf-8")
    return with_alarm(text, alarm) if rings and alarm is not None else text


def _texts(found: Readable, yard: YardSettings) -> Iterable[Text]:
    address, parts = found.address, set(found.address.parts)
    match address.kind:
        case Kind.PERSON | Kind.BOAT | Kind.OWNER | Kind.PLACE:
            assert address.subject is not None  # the database sees to it
            columns = ("entry__starts_at", "entry__uid", "lines", "entry__lines")
            members = members_shown(address.kind, address.subject.pk, now=found.state.now).values_list(*columns)
            yield from (Text(starts, str(uid), off or lines) for starts, uid, off, lines in members)
        case Kind.YARD:
            parts.add(FeedPart.JOBS)
    stored = sorted(parts & {FeedPart.JOBS, FeedPart.CLOSURES, FeedPart.DEADLINES})
    if stored:
        rows = entries_shown(stored, now=found.state.now).values_list("starts_at", "uid", "lines")
        yield from (Text(starts, str(uid), lines) for starts, uid, lines in rows)
    ground = ground_of(found.state, yard)
    for part in sorted(parts & {FeedPart.HIGHS_LOWS, FeedPart.RAMP, FeedPart.DAYLIGHT}):
        yield from (Text(each.starts_at, each.uid, each.lines) for each in reckoned(ground, part, address.draft_m))


def ground_of(state: StateNow, yard: YardSettings) -> Ground:
    """What tides and lights are reckoned from, today."""
    row = state.row
    assert row.tide_revised_at is not None  # bringing entries up to date sets it
    return Ground(yard, row.tide_fingerprint, row.reckoned, row.tide_sequence, row.tide_revised_at, state.today)


def _withdrawn_or_paused(found: Readable, yard: YardSettings) -> Text | None:
    address = found.address
    ask = (
        _("Ask at the yard, {phone}, for a new one.").format(phone=yard.phone)
        if yard.phone
        else _("Ask at the yard for a new one.")
    )
    if address.withdrawn_at is not None or found.shut:
        return _placeholder(
            found, yard, _("This calendar has been withdrawn"), _("It shows nothing any more. {ask}").format(ask=ask)
        )
    if address.paused_at is not None:
        return _placeholder(found, yard, _("This calendar is paused"), _("Its events come back when it goes on."))
    return None


def _placeholder(found: Readable, yard: YardSettings, title: str, note: str) -> Text:
    """Today, so that it is seen."""
    return _saying(found, yard, found.state.today, title, note)


def _saying(found: Readable, yard: YardSettings, day: date, title: str, note: str) -> Text:
    """One whole day that takes no time.

    It never changes, so it needs no count of revisions: other words, or the words of another day, are another event,
    whose identity is made from the address's own random one.
    """
    at = midnight(day, yard.time_zone)
    shown = Shown(summary=title, when=Days(day, day + timedelta(days=1)), notes=(note,), busy=False)
    uid = uuid5(found.address.uid, f"{day} {yard.time_zone} {title} {note}")
    event = FeedEvent(uid, shown, Revision(sequence=0, made_at=at, revised_at=at))
    return Text(at, str(uid), write_event(event, zone=yard.time_zone).decode("utf-8"))
