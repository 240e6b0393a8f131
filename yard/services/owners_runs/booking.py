"""The one writer of owners' runs: booked, at another hour, somebody taken along, called off.

A run is a fact that plans go round. Where the posted plan has work in its way, the run is booked only if a person says
that it goes first; what happened then asks for a proposal, as a closed day does.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.day_names import said
from yard.models import Event, OwnersRun, Person, Place, PlannedJob, RunWish, StaleRow
from yard.services.facts_revision import bump_facts
from yard.services.happenings import Scribe
from yard.services.owners_runs.room import RunRefused, faults_of, seats_left, work_in_the_way, zone_of
from yard.services.pen import sign
from yard.services.record_event import write_event
from yard.services.written import Written


@dataclass(frozen=True, slots=True, kw_only=True)
class RunAsked:
    """A run to book. goes_first: before work that the posted plan has in its way."""

    place: Place
    people: tuple[Person, ...]
    leaves_at: datetime
    back_at: datetime
    note: str = ""
    goes_first: bool = False


@transaction.atomic
def book_run(
    asked: RunAsked,
    wish: RunWish | None,
    *,
    seen_version: int = 0,
    form_key: UUID | None = None,
    by: User,
    now: datetime,
) -> OwnersRun:
    """Book a run, with a wish on it if one is given; the same form sent twice is one. Raises RunRefused, StaleRow."""
    bump_facts()
    if form_key and (same := OwnersRun.objects.filter(form_key=form_key).first()):
        return same
    _demand_sense(asked, now)
    carried = wish.people if wish is not None else 0
    faults = faults_of(
        asked.place,
        asked.people,
        asked.leaves_at,
        asked.back_at,
        carried=carried,
        goes_first=asked.goes_first,
        without=None,
    )
    if told := tuple(faults):
        raise RunRefused(*told)
    in_the_way = work_in_the_way(asked.place, asked.people, asked.leaves_at, asked.back_at)
    run = _save(asked, form_key, by, now)
    if wish is not None:
        _put_on(wish, run, seen_version, by, now)
    if in_the_way:
        _tell(run, in_the_way, by, now)
    return run


@transaction.atomic
def change_run(
    run: OwnersRun, asked: RunAsked, *, agreed: bool = False, seen_version: int, by: User, now: datetime
) -> OwnersRun:
    """A booked run at another hour, with another boat or others; whoever is on it stays on it.

    agreed: they were asked about an hour that is not within their wish. Raises RunRefused, StaleRow.
    """
    bump_facts()
    row = OwnersRun.objects.select_related("place").get(pk=run.pk)
    if row.version != seen_version:
        raise StaleRow(row)
    if row.called_off_at is not None:
        raise RunRefused(_("It is called off: book another."))
    if row.leaves_at <= now:
        raise RunRefused(_("That run has left: its hour is not changed any more."))
    if _as_on_file(row, asked):
        return row
    _demand_sense(asked, now)
    wishes = list(row.wishes.filter(state=RunWish.State.BOOKED).select_related("boat").order_by("id"))
    told = list(
        faults_of(
            asked.place,
            asked.people,
            asked.leaves_at,
            asked.back_at,
            carried=sum(wish.people for wish in wishes),
            goes_first=asked.goes_first,
            without=row,
        )
    )
    if row.leaves_at != asked.leaves_at and not agreed:
        told += not_as_wished(wishes, asked.leaves_at)
    if told:
        raise RunRefused(*told)
    in_the_way = work_in_the_way(asked.place, asked.people, asked.leaves_at, asked.back_at)
    row.place, row.leaves_at, row.back_at, row.note = asked.place, asked.leaves_at, asked.back_at, asked.note
    row.full_clean()
    sign(row, by=by, now=now, reason=_("changed, as they agreed") if agreed else _("changed"))
    row.save_over(seen_version)
    row.people.set(asked.people)
    if in_the_way:
        _tell(row, in_the_way, by, now)
    return row


@transaction.atomic
def take_along(run: OwnersRun, wish: RunWish, *, seen_version: int, by: User, now: datetime) -> OwnersRun:
    """A wish goes on a run that is booked, as far as there are seats. Raises RunRefused, StaleRow."""
    bump_facts()
    row = OwnersRun.objects.select_for_update().select_related("place").get(pk=run.pk)
    if row.called_off_at is not None:
        raise RunRefused(_("That run was called off meanwhile: choose another."))
    if row.leaves_at <= now:
        raise RunRefused(_("That run has left: choose another."))
    left = seats_left(row)
    if left < wish.people:
        raise RunRefused(
            ngettext(
                "{n} seat left, and {people} wish to go: choose another run.",
                "{n} seats left, and {people} wish to go: choose another run.",
                left,
            ).format(n=left, people=wish.people)
        )
    _put_on(wish, row, seen_version, by, now)
    return row


@transaction.atomic
def off_the_run(wish: RunWish, *, seen_version: int, by: User, now: datetime) -> RunWish:
    """They are to go at another hour: the wish waits again, its seats are free. Raises RunRefused, StaleRow."""
    bump_facts()
    row = RunWish.objects.select_related("run").get(pk=wish.pk)
    if row.run is None:
        raise RunRefused(_("It is on no run."))
    if row.run.leaves_at <= now:
        raise RunRefused(_("That run has left."))
    row.state, row.run = RunWish.State.ASKED, None
    sign(row, by=by, now=now, reason=_("to go at another hour"))
    return row.save_over(seen_version)


@transaction.atomic
def call_off_run(run: OwnersRun, *, why: str, seen_version: int, by: User, now: datetime) -> OwnersRun:
    """It does not go: boat and crew are free, and who was to go is asked anew. Raises RunRefused, StaleRow."""
    bump_facts()
    row = OwnersRun.objects.get(pk=run.pk)
    if not why.strip():
        raise RunRefused(_("Say why it is called off: they will ask."))
    if row.called_off_at is not None:
        raise RunRefused(_("It is called off already."))
    for wish in row.wishes.filter(state=RunWish.State.BOOKED):
        wish.state, wish.run = RunWish.State.ASKED, None
        sign(wish, by=by, now=now, reason=_("the run was called off: {why}").format(why=why.strip()))
        wish.save()
    row.called_off_at, row.called_off_why = now, why.strip()[:100]
    sign(row, by=by, now=now, reason=_("called off: {why}").format(why=why.strip()))
    return row.save_over(seen_version)


def _as_on_file(row: OwnersRun, asked: RunAsked) -> bool:
    same = (row.place, row.leaves_at, row.back_at, row.note) == (
        asked.place,
        asked.leaves_at,
        asked.back_at,
        asked.note,
    )
    return same and set(row.people.all()) == set(asked.people)


def not_as_wished(wishes: Iterable[RunWish], leaves_at: datetime) -> Iterator[str]:
    """Who asked for other hours than this, in sentences that name no owner."""
    zone = zone_of()
    for wish in wishes:
        if not wish.from_at <= leaves_at <= wish.until_at:
            who = wish.boat.name if wish.boat is not None else _("Somebody")
            yield _(
                "{who} ({people}) asked to leave between {since} and {until}: ask them and say that they agree, or "
                "take them off first."
            ).format(
                who=who,
                people=wish.people,
                since=f"{wish.from_at.astimezone(zone):%H:%M}",
                until=f"{wish.until_at.astimezone(zone):%H:%M}",
            )


def _demand_sense(asked: RunAsked, now: datetime) -> None:
    if asked.leaves_at <= now:
        raise RunRefused(_("That hour has passed: choose one to come."))
    if asked.back_at <= asked.leaves_at:
        raise RunRefused(_("They are back before they leave: set the hour of the return after it."))
    if not asked.people:
        raise RunRefused(_("Name who runs her."))


def _save(asked: RunAsked, form_key: UUID | None, by: User, now: datetime) -> OwnersRun:
    run = OwnersRun(
        place=asked.place,
        leaves_at=asked.leaves_at,
        back_at=asked.back_at,
        note=asked.note,
        booked_by=by,
        booked_at=now,
        form_key=form_key,
    )
    run.full_clean()
    sign(run, by=by, now=now, reason=_("booked"))
    run.save()
    run.people.set(asked.people)
    return run


def _put_on(wish: RunWish, run: OwnersRun, seen_version: int, by: User, now: datetime) -> None:
    row = RunWish.objects.get(pk=wish.pk)
    if row.version != seen_version or row.state != RunWish.State.ASKED:
        raise StaleRow(row)
    row.state, row.run = RunWish.State.BOOKED, run
    sign(row, by=by, now=now, reason=_("booked"))
    row.save_over(seen_version)


def _tell(run: OwnersRun, work: list[PlannedJob], by: User, now: datetime) -> None:
    """The posted plan has work there: what happened asks for a proposal that goes round the run."""
    zone: ZoneInfo = zone_of()
    names = ", ".join(dict.fromkeys(f"“{row.job.name}”" for row in work))
    says = _("{place} carries owners, {day}: {names} to be planned round it").format(
        place=run.place, day=said(run.leaves_at.astimezone(zone), "D j M H:i"), names=names
    )
    write_event(Written(Event.Kind.RUN, says), Scribe(by, now, now.astimezone(zone).date()))
