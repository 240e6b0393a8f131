"""The one writer of what calendars remember: entries follow the posted plan and the facts, revision by revision."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.feeds.event import Days, FeedEvent, Revision, Shown
from yard.feeds.keeping import CANCELLED_STAYS, HISTORY, fingerprint, next_revised_at
from yard.feeds.wording import changes
from yard.feeds.writing import write_event
from yard.models import FeedEntry, FeedMember, FeedPart, FeedState, YardSettings
from yard.queries.feeds import StateNow, feed_state
from yard.queries.plans import posted_plan
from yard.services.feeds.dated import wanted_closures, wanted_deadlines
from yard.services.feeds.jobs import wanted_jobs
from yard.services.feeds.outings import wanted_outings
from yard.services.feeds.reckoned import tide_fingerprint
from yard.services.feeds.rows import read_feed_rows
from yard.services.feeds.wanted import Member, Wanted, content_of, event_of, shown_of, span_of

OFF_IT = {
    FeedMember.Kind.PERSON: gettext_noop("you are no longer on it."),
    FeedMember.Kind.PLACE: gettext_noop("it is not done here any more."),
    FeedMember.Kind.OWNER: gettext_noop("it is no longer yours."),
    FeedMember.Kind.BOAT: gettext_noop("it is no longer hers."),
}
TRIES = 2
MOST_AT_ONCE = 500
"""Rows in one query: SQLite takes a limited count of values."""
ENTRY_FIELDS = (
    "part",
    "owners",
    "job",
    "sequence",
    "revised_at",
    "cancelled_at",
    "whole_days",
    "starts_at",
    "ends_at",
    "content",
    "changed",
    "fingerprint",
    "lines",
)


@dataclass(frozen=True)
class Brought:
    """How many entries were new, changed (or revived) and cancelled; how many members were put on or taken off."""

    new: int = 0
    changed: int = 0
    cancelled: int = 0
    members: int = 0

    @property
    def anything(self) -> bool:
        return bool(self.new or self.changed or self.cancelled or self.members)


def bring_up_to_date(*, now: datetime) -> Brought:
    """Write what changed since calendars were last told; nothing where plan and facts are as they were. Atomic.

    now: the real clock; the yard's own, where it stands still, is used instead.  The rows are read before the lock is
    taken, so that nobody waits for that; if something changed meanwhile, they are read again.  Of two callers one
    waits, and then finds nothing to do.
    """
    for _try in range(TRIES):
        yard = YardSettings.objects.filter(pk=1).first()
        if yard is None:
            return Brought()
        before = _state(now)
        if before.up_to_date:
            return Brought()
        wanted = _wanted(yard, before.now)
        with transaction.atomic():
            locked = _state(now, lock=True)
            if locked.sources == before.sources:
                return Brought() if locked.up_to_date else _write(yard, wanted, locked)
    with transaction.atomic():  # rows that change all the time are read under the lock
        locked = _state(now, lock=True)
        yard = YardSettings.objects.get(pk=1)
        return _write(yard, _wanted(yard, locked.now), locked)


def _state(real_now: datetime, *, lock: bool = False) -> StateNow:
    """The one row with its sources. lock: takes it for the transaction before reading what it guards."""
    if lock:
        FeedState.objects.filter(pk=1).update(count=F("count"))
    found = feed_state(real_now=real_now)
    if found is None:
        FeedState.objects.get_or_create(pk=1)
        found = feed_state(real_now=real_now)
    assert found is not None  # the yard has settings
    return found


def _write(yard: YardSettings, wanted: list[Wanted], told: StateNow) -> Brought:
    """told: the state, whose sources were read before the rows: what changes after that is found the next time."""
    state, now = told.row, told.now.replace(microsecond=0)
    moved = state.zone not in ("", yard.time_zone)
    brought = _Writer(yard, now, write_all=moved).write(wanted)
    _tell_tides(state, yard, now)
    state.read_of, state.zone = told.sources, yard.time_zone
    if brought.anything:
        state.count += 1
        state.changed_at = now
    state.save()
    return brought


def _wanted(yard: YardSettings, now: datetime) -> list[Wanted]:
    rows = read_feed_rows(yard, posted_plan(), now)
    wanted = [*wanted_jobs(rows), *wanted_closures(rows), *wanted_deadlines(rows), *wanted_outings(rows)]
    return [each for each in wanted if span_of(each.shown, yard.time_zone)[1] > now - HISTORY]


def _tell_tides(state: FeedState, yard: YardSettings, now: datetime) -> None:
    """All reckoned tides share one revision, which rises when what they are reckoned from changes."""
    made_of = tide_fingerprint(yard)
    if state.tide_fingerprint == made_of and state.tide_revised_at is not None:
        return
    state.tide_sequence = 0 if state.tide_revised_at is None else state.tide_sequence + 1
    state.tide_revised_at = now if state.tide_revised_at is None else next_revised_at(state.tide_revised_at, now)
    state.tide_fingerprint = made_of


@dataclass(frozen=True, slots=True)
class _Known:
    """What must be known of every entry to see whether it stands as it should. on: its members not taken off."""

    pk: int
    part: str
    cancelled: bool
    ends_at: datetime
    fingerprint: str
    on: frozenset[Member]


@dataclass
class _Writer:
    """One pass over all entries. Of those that stand as they should no whole row is read.

    write_all: the zone is another, so that every text is written anew.
    """

    yard: YardSettings
    now: datetime
    write_all: bool = False
    new: list[FeedEntry] = field(default_factory=list)
    revised: dict[int, FeedEntry] = field(default_factory=dict)
    cancelled: int = 0
    members_new: list[FeedMember] = field(default_factory=list)
    members_changed: list[FeedMember] = field(default_factory=list)
    _before: dict[int, Shown] = field(default_factory=dict)

    def write(self, wanted: list[Wanted]) -> Brought:
        self._drop_old()
        known = _known()
        keys = {each.key for each in wanted}
        changed = [each for each in wanted if self.write_all or not _stands(known.get(each.key), each)]
        gone = [key for key, row in known.items() if key not in keys and self._goes(row)]
        entries = _entries([known[key].pk for key in (*gone, *(each.key for each in changed)) if key in known])
        self._before = {entry.pk: shown_of(entry) for entry in entries.values()}
        for each in changed:
            self._follow(entries.get(each.key), each)
        for key in gone:
            self._cancel(entries[key])
        self._save()
        revised = len(self.revised) - self.cancelled
        return Brought(len(self.new), revised, self.cancelled, len(self.members_new) + len(self.members_changed))

    def _drop_old(self) -> None:
        """What no calendar shows any more, a day after it left the last of them."""
        kept_until = self.now - timedelta(days=1)
        FeedEntry.objects.filter(ends_at__lt=kept_until - HISTORY).delete()
        FeedEntry.objects.filter(cancelled_at__lt=kept_until - CANCELLED_STAYS).delete()
        FeedMember.objects.filter(taken_off_at__lt=kept_until - CANCELLED_STAYS).delete()
        if self.write_all:  # what is not written anew names the former zone; its readers find it gone
            FeedMember.objects.filter(taken_off_at__isnull=False).delete()
            FeedEntry.objects.filter(cancelled_at__isnull=False).delete()
            FeedEntry.objects.exclude(part=FeedPart.JOBS).filter(ends_at__lte=self.now).delete()

    def _goes(self, row: _Known) -> bool:
        """Whether what is no longer wanted is cancelled now. A deadline that is over stays as it was; a job that is
        over and was not done is said to be cancelled."""
        return not row.cancelled and (row.part == FeedPart.JOBS or row.ends_at > self.now)

    def _follow(self, entry: FeedEntry | None, wanted: Wanted) -> None:
        if entry is None:
            self._make(wanted)
            return
        if self.write_all or entry.cancelled_at is not None or entry.fingerprint != fingerprint(wanted.shown):
            self._revise(entry, wanted)
        self._follow_members(entry, wanted)

    def _make(self, wanted: Wanted) -> None:
        entry = FeedEntry(key=wanted.key, made_at=self.now, revised_at=self.now)
        self._put(entry, wanted, ())
        self.new.append(entry)
        self.members_new += [FeedMember(entry=entry, kind=kind, subject=pk) for kind, pk in sorted(wanted.members)]

    def _revise(self, entry: FeedEntry, wanted: Wanted, *, least_sequence: int = 0) -> None:
        zone = self.yard.time_zone
        revived = entry.cancelled_at is not None
        told = changes(self._before[entry.pk], wanted.shown, zone=zone, was_cancelled=revived)
        entry.sequence = max(entry.sequence + 1, least_sequence)
        entry.revised_at = next_revised_at(entry.revised_at, self.now)
        entry.cancelled_at = None
        self._put(entry, wanted, told)
        self.revised[entry.pk] = entry

    def _put(self, entry: FeedEntry, wanted: Wanted, told: tuple[str, ...]) -> None:
        entry.part, entry.owners, entry.job_id = wanted.part, wanted.owners, wanted.job
        entry.starts_at, entry.ends_at = span_of(wanted.shown, self.yard.time_zone)
        entry.whole_days = isinstance(wanted.shown.when, Days)
        entry.content = content_of(wanted.shown)
        entry.changed = list(told)
        entry.fingerprint = fingerprint(wanted.shown)
        entry.lines = self._lines(event_of(entry))

    def _cancel(self, entry: FeedEntry) -> None:
        entry.sequence += 1
        entry.revised_at = next_revised_at(entry.revised_at, self.now)
        entry.cancelled_at = self.now
        entry.changed = []
        entry.lines = self._lines(event_of(entry))
        self.revised[entry.pk] = entry
        self.cancelled += 1

    def _lines(self, event: FeedEvent) -> str:
        return write_event(event, zone=self.yard.time_zone).decode("utf-8")

    def _follow_members(self, entry: FeedEntry, wanted: Wanted) -> None:
        known: dict[Member, FeedMember] = {(each.kind, each.subject): each for each in entry.members.all()}
        for key in sorted(wanted.members - known.keys()):
            self.members_new.append(FeedMember(entry=entry, kind=key[0], subject=key[1]))
        back = [known[key] for key in sorted(wanted.members & known.keys()) if known[key].taken_off_at is not None]
        if (seen := max((each.sequence for each in back), default=-1)) >= entry.sequence:
            # Whoever was off it read a cancellation stamped after the event: what follows is later than that, too.
            off_at = [each.taken_off_at for each in back if each.taken_off_at is not None]
            entry.revised_at = max(entry.revised_at + timedelta(seconds=1), *off_at)
            self._revise(entry, wanted, least_sequence=seen + 1)
        for member in back:
            member.taken_off_at, member.sequence, member.lines = None, 0, ""
            self.members_changed.append(member)
        for key in sorted(known.keys() - wanted.members):
            if known[key].taken_off_at is None:
                self._take_off(entry, known[key])

    def _take_off(self, entry: FeedEntry, member: FeedMember) -> None:
        """In this one calendar the event is cancelled, as it was last shown there, with a revision of its own."""
        event = event_of(entry)
        in_hand = entry.pk in self.revised
        member.sequence = entry.sequence if in_hand else entry.sequence + 1
        member.taken_off_at = self.now
        revision = Revision(
            sequence=member.sequence,
            made_at=entry.made_at,
            revised_at=entry.revised_at if in_hand else next_revised_at(entry.revised_at, self.now),
            cancelled=True,
            changed=(_(OFF_IT[FeedMember.Kind(member.kind)]),),
        )
        member.lines = self._lines(replace(event, shown=self._before[entry.pk], revision=revision))
        self.members_changed.append(member)

    def _save(self) -> None:
        FeedEntry.objects.bulk_create(self.new, batch_size=500)
        FeedEntry.objects.bulk_update(self.revised.values(), ENTRY_FIELDS, batch_size=200)
        for member in self.members_new:
            member.entry_id = member.entry.pk
        FeedMember.objects.bulk_create(self.members_new, batch_size=1000)
        FeedMember.objects.bulk_update(self.members_changed, ("taken_off_at", "sequence", "lines"), batch_size=200)


def _known() -> dict[str, _Known]:
    """Every entry, by key. Two queries."""
    on: dict[int, set[Member]] = {}
    for entry, kind, subject in FeedMember.objects.filter(taken_off_at=None).values_list("entry", "kind", "subject"):
        on.setdefault(entry, set()).add((kind, subject))
    columns = ("key", "pk", "part", "cancelled_at", "ends_at", "fingerprint")
    return {
        key: _Known(pk, part, cancelled_at is not None, ends_at, mark, frozenset(on.get(pk, ())))
        for key, pk, part, cancelled_at, ends_at, mark in FeedEntry.objects.order_by().values_list(*columns)
    }


def _stands(known: _Known | None, wanted: Wanted) -> bool:
    return (
        known is not None
        and not known.cancelled
        and known.on == wanted.members
        and known.fingerprint == fingerprint(wanted.shown)
    )


def _entries(pks: list[int]) -> dict[str, FeedEntry]:
    """Whole rows with their members, by key."""
    found: dict[str, FeedEntry] = {}
    for first in range(0, len(pks), MOST_AT_ONCE):
        rows = FeedEntry.objects.filter(pk__in=pks[first : first + MOST_AT_ONCE]).prefetch_related("members")
        found |= {entry.key: entry for entry in rows}
    return found
