"""Trips by road or ferry, and owners' runs, as events: by the hour for whoever goes, by the day for a trip's owners."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.day_names import said
from yard.feeds.event import Days, Hours, Shown
from yard.feeds.text import clean
from yard.models import FeedMember, OwnersRun, RunWish, Trip
from yard.queries.runs import carried
from yard.services.feeds.dated import CALL_MIN
from yard.services.feeds.jobs import DECIDES, page_of, short_enough, title_of
from yard.services.feeds.rows import FeedRows
from yard.services.feeds.wanted import Member, Wanted

PERSON, BOAT, OWNER, PLACE = FeedMember.Kind.PERSON, FeedMember.Kind.BOAT, FeedMember.Kind.OWNER, FeedMember.Kind.PLACE
ROAD = gettext_noop("Caution: permit and escort on board; the driver's hours are the law's.")
AFLOAT = gettext_noop("Caution: lifejackets; no more aboard than seats; say ashore where you go and until when.")


def wanted_outings(rows: FeedRows) -> Iterator[Wanted]:
    """Every trip that is booked, with its check-in as a deadline, and every owners' run."""
    for trip in rows.trips:
        yield _trip(trip, rows)
        if trip.check_in_by is not None:
            yield _check_in(trip, trip.check_in_by)
        owners = rows.owners.get(trip.order.boat_id or 0, ())
        if owners:
            yield _trip_for_owners(trip, rows, owners)
    for run in rows.runs:
        yield _run(run)
        for wish in run.wishes.all():
            if wish.owner_id is not None:
                yield _run_for_owner(run, wish, rows)


def _trip(trip: Trip, rows: FeedRows) -> Wanted:
    people, places = list(trip.people.all()), list(trip.places.all())
    members: set[Member] = {(PERSON, one.pk) for one in people} | {(PLACE, one.pk) for one in places}
    if trip.order.boat_id is not None:
        members.add((BOAT, trip.order.boat_id))
    shown = Shown(
        summary=title_of(_("Trip by ferry") if trip.check_in_by else _("Trip by road"), trip.order),
        when=_hours(trip.leaves_at, trip.returns_at),
        location=", ".join(one.name for one in places),
        people=tuple(one.short_name for one in people),
        notes=short_enough(_trip_notes(trip, rows)),
        categories=("trip",),
        url=page_of(trip.order),
        firm=True,
        busy=True,
    )
    return Wanted(f"trip {trip.pk}", "jobs", shown, frozenset(members))


def _trip_notes(trip: Trip, rows: FeedRows) -> Iterator[str]:
    """The hours of the way out; what must be aboard; the order; who decides. The date does not move."""
    there = trip.leaves_at + timedelta(minutes=trip.drive_min)
    if trip.check_in_by is not None:
        yield _("Check-in closes {closes}; there at {there}.").format(
            closes=_clock(trip.check_in_by, rows), there=_clock(there, rows)
        )
    else:
        yield _("There at {there}.").format(there=_clock(there, rows))
    yield _("Permit {permit}.").format(permit=trip.permit) if trip.permit else _("No permit is written down yet.")
    if trip.escort:
        yield _("Escort: {escort}.").format(escort=trip.escort)
    if trip.note:
        yield trip.note
    yield _("Order {ref}: {name}. The date does not move.").format(ref=trip.order.ref, name=trip.order.name)
    yield f"{_(ROAD)} {_(DECIDES)}"


def _check_in(trip: Trip, closes: datetime) -> Wanted:
    shown = Shown(
        summary=title_of(_("Check-in closes"), trip.order),
        when=_hours(closes - timedelta(minutes=CALL_MIN), closes),
        categories=("deadline",),
        url=page_of(trip.order),
        busy=False,
    )
    return Wanted(f"check-in of trip {trip.pk}", "deadlines", shown)


def _trip_for_owners(trip: Trip, rows: FeedRows, owners: tuple[int, ...]) -> Wanted:
    """The day on which she leaves the yard, and until when she may be checked in; no names of the crew."""
    first = trip.leaves_at.astimezone(rows.zone).date()
    notes = [_("She leaves the yard at {hour}.").format(hour=_clock(trip.leaves_at, rows))]
    if trip.check_in_by is not None:
        notes.append(_("The check-in closes {closes}.").format(closes=_clock(trip.check_in_by, rows)))
    notes.append(_("{name}, order {ref}.").format(name=trip.order.name, ref=trip.order.ref))
    if rows.yard.phone:
        notes.append(_("Questions: {yard}, {phone}.").format(yard=rows.yard.name, phone=rows.yard.phone))
    shown = Shown(
        summary=title_of(_("Delivery by ferry") if trip.check_in_by else _("Delivery by road"), trip.order),
        when=Days(first, first + timedelta(days=1)),
        location=rows.yard.name,
        notes=short_enough(notes),
        categories=("trip",),
        firm=True,
        busy=False,
    )
    return Wanted(
        f"trip {trip.pk} for owners", "jobs", shown, frozenset((OWNER, owner) for owner in owners), owners=True
    )


def _run(run: OwnersRun) -> Wanted:
    """By boat, as calendars name no owner."""
    wishes = list(run.wishes.all())
    members: set[Member] = {(PERSON, one.pk) for one in run.people.all()} | {(PLACE, run.place_id)}
    members |= {(BOAT, wish.boat_id) for wish in wishes if wish.boat_id is not None}
    shown = Shown(
        summary=clean(_("Owners' run: {carried}").format(carried=carried(wishes) or _("nobody yet")))[:300],
        when=_hours(run.leaves_at, run.back_at),
        location=run.place.name,
        people=tuple(one.short_name for one in run.people.all()),
        notes=short_enough([*([run.note] if run.note else []), f"{_(AFLOAT)} {_(DECIDES)}"]),
        categories=("run",),
        firm=True,
        busy=True,
    )
    return Wanted(f"run {run.pk}", "jobs", shown, frozenset(members))


def _run_for_owner(run: OwnersRun, wish: RunWish, rows: FeedRows) -> Wanted:
    whose = wish.boat.name if wish.boat is not None else _("her")
    words = _("Carried out to {whose}") if wish.way == RunWish.Way.OUT else _("Carried back from {whose}")
    notes = [_("Be at the float ten minutes before; lifejackets are worn. The person at the helm decides.")]
    if rows.yard.phone:
        notes.append(_("Questions: {yard}, {phone}.").format(yard=rows.yard.name, phone=rows.yard.phone))
    shown = Shown(
        summary=clean(words.format(whose=whose))[:300],
        when=_hours(run.leaves_at, run.back_at),
        location=rows.yard.name,
        notes=tuple(notes),
        categories=("run",),
        firm=True,
        busy=True,
    )
    members = frozenset({(OWNER, wish.owner_id or 0)})
    return Wanted(f"run wish {wish.pk} for its owner", "jobs", shown, members, owners=True)


def _hours(starts: datetime, ends: datetime) -> Hours:
    return Hours(starts.replace(second=0, microsecond=0), ends.replace(second=0, microsecond=0))


def _clock(at: datetime, rows: FeedRows) -> str:
    """ "Thu 13 May, 08:00" """
    shown = at.astimezone(rows.zone)
    return said(shown, "D j M, H:i")
