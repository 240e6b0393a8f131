"""A trip booked on its fixed date: the jobs pinned to its hours, with truck, trailer and people until they are back.

The pins are what the planner keeps (rule `pins`); whoever comes along and what is taken is booked through the nights of
the trip as well. yard.services.check_trips looks at the same anew, from the trip's own row.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.day_names import said
from yard.models import DatedHours, Job, JobWay, Order, Person, Pin, Place, PlaceKind, StaleRow, Trip, YardSettings
from yard.services.facts_revision import bump_facts
from yard.services.order_package import demand_open
from yard.services.pen import sign

BACK = "road_back"
"""The kind of job in which truck and people come back."""


class TripRefused(Exception):
    """It cannot be booked so; `faults` are whole sentences with the remedy. Nothing was saved."""

    def __init__(self, faults: Sequence[str]) -> None:
        super().__init__(" ".join(faults))
        self.faults = tuple(faults)


@dataclass(frozen=True, slots=True, kw_only=True)
class TripAsked:
    """Instants are aware. drive_min: to the check-in, or to where she goes."""

    leaves_at: datetime
    drive_min: int
    returns_at: datetime
    people: tuple[Person, ...]
    places: tuple[Place, ...]
    check_in_by: datetime | None = None
    permit: str = ""
    escort: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Legs:
    """The order's jobs that the trip is: out, and back where that is a job of its own."""

    out: Job
    back: Job | None

    @property
    def jobs(self) -> tuple[Job, ...]:
        return (self.out,) if self.back is None else (self.out, self.back)


def legs_of(order: Order) -> Legs | None:
    """None where the order has no open job on a fixed date. Two queries."""
    rows = order.jobs.filter(state=Job.State.OPEN).select_related("kind").prefetch_related("ways").order_by("sequence")
    jobs = list(rows)
    out = next((job for job in jobs if job.kind.key == "road_out" or job.on_fixed_date), None)
    back = next((job for job in jobs if job.kind.key == BACK), None)
    return None if out is None else Legs(out, back)


@transaction.atomic
def book_trip(
    order: Order,
    asked: TripAsked,
    *,
    seen: Trip | None = None,
    seen_version: int = 0,
    form_key: UUID | None = None,
    by: User,
    now: datetime,
) -> Trip:
    """Book it, or with `seen` change what is booked. The same form sent twice is one trip.

    Raises TripRefused, OrderRefused where the order is done or withdrawn, StaleRow where somebody else was quicker.
    """
    bump_facts()
    if form_key and (same := Trip.objects.filter(form_key=form_key).first()):
        return same
    demand_open(order)
    live = Trip.objects.filter(order=order, called_off_at=None).first()
    if (live is None) != (seen is None) or (live is not None and seen is not None and live.pk != seen.pk):
        raise StaleRow(live or order)
    legs = legs_of(order)
    if legs is None:
        raise TripRefused([_("This order has no open job that goes out on the road: turn on its delivery first.")])
    if faults := tuple(_faults(order, legs, asked, live, now)):
        raise TripRefused(faults)
    trip = live or Trip(order=order, booked_by=by, booked_at=now, form_key=form_key)
    _write(trip, asked, seen_version if live is not None else None, by, now)
    _fix_order(order, legs, asked, by, now)
    _pin(trip, legs, asked, by, now)
    return trip


@transaction.atomic
def call_off(trip: Trip, *, why: str, seen_version: int, by: User, now: datetime) -> Trip:
    """It is off: truck, trailer and people are free; its row and the reason stay. Raises TripRefused, StaleRow."""
    bump_facts()
    row = Trip.objects.select_related("order").get(pk=trip.pk)
    if not why.strip():
        raise TripRefused([_("Say why it is called off: the customer will ask.")])
    if row.called_off_at is not None:
        raise TripRefused([_("It is called off already.")])
    row.called_off_at, row.note = now, why.strip()[:200]
    sign(row, by=by, now=now, reason=_("called off: {why}").format(why=why.strip()))
    row.save_over(seen_version)
    _unpin(row, by, now)
    order = row.order
    order.fixed_delivery_at = None
    sign(order, by=by, now=now, reason=_("her trip was called off"))
    order.save()
    for job in order.jobs.filter(on_fixed_date=True):
        job.on_fixed_date = False
        sign(job, by=by, now=now, reason=_("her trip was called off"))
        job.save()
    return row


def _faults(order: Order, legs: Legs, asked: TripAsked, live: Trip | None, now: datetime) -> Iterator[str]:
    if asked.leaves_at <= now:
        yield _("{hour} has passed: give the hour at which they leave.").format(hour=_when(asked.leaves_at))
    if asked.returns_at <= asked.leaves_at + timedelta(minutes=asked.drive_min):
        there = _when(asked.leaves_at + timedelta(minutes=asked.drive_min))
        yield _("They are there at {there}, and cannot be back by {back}: set the return after it.").format(
            there=there, back=_when(asked.returns_at)
        )
    if asked.check_in_by is not None:
        yield from _too_late_for_check_in(asked, asked.check_in_by)
    yield from _crew_faults(legs, asked)
    yield from _place_faults(legs, asked)
    for other in _others(asked, live):
        yield _("{ref} has its trip from {leaves_at} to {back}: {shared}.").format(
            ref=other.order.ref,
            leaves_at=_when(other.leaves_at),
            back=_when(other.returns_at),
            shared=_shared(other, asked),
        )
    yield from _away(asked)


def _too_late_for_check_in(asked: TripAsked, by: datetime) -> Iterator[str]:
    there = asked.leaves_at + timedelta(minutes=asked.drive_min)
    if there > by:
        late = round((there - by).total_seconds() / 60)
        yield (
            _(
                "They are at the check-in at {there}, and it closes at {by}: leave {late} min "
                "earlier, at {leaves_at} at the latest."
            ).format(
                there=_when(there), by=_when(by), late=late, leaves_at=_when(asked.leaves_at - timedelta(minutes=late))
            )
        )


def way_of(job: Job, people: Sequence[Person]) -> JobWay | None:
    """The first way of doing it that these people can, each for one need; None where they cannot."""
    return next((way for way in job.ways.all() if _can(way, people)), None)


def _can(way: JobWay, people: Sequence[Person]) -> bool:
    """Small crews: each need takes the first who has the skill, the rarest needs first."""
    left = list(people)
    has = {person.pk: {row.skill.key: row.level for row in person.skills.all()} for person in people}
    needs = [(each["skill"], each["level"]) for each in way.crew for _ in range(each["count"])]
    needs.sort(key=lambda need: sum(has[person.pk].get(need[0], 0) >= need[1] for person in people))
    for skill, level in needs:
        found = next((person for person in left if has[person.pk].get(skill, 0) >= level), None)
        if found is None:
            return False
        left.remove(found)
    return not left


def _crew_faults(legs: Legs, asked: TripAsked) -> Iterator[str]:
    for job in legs.jobs:
        if way_of(job, asked.people) is None:
            wanted = _(" or ").join(_crew_words(way) for way in job.ways.all())
            names = ", ".join(person.short_name for person in asked.people) or _("nobody")
            yield _("“{job}” wants {wanted}; {names} cannot do it: name others.").format(
                job=job.name, wanted=wanted, names=names
            )


def _crew_words(way: JobWay) -> str:
    return _(" and ").join(f"{each['count']} {each['skill']}" for each in way.crew)


def _place_faults(legs: Legs, asked: TripAsked) -> Iterator[str]:
    kinds = {place.kind for place in asked.places}
    wanted = {kind for job in legs.jobs for way in job.ways.all() for kind in way.place_kinds}
    for kind in sorted(wanted - kinds):
        yield _("No {what} is named, and “{job}” goes with one: name it.").format(
            what=PlaceKind(kind).label, job=legs.out.name
        )


def _others(asked: TripAsked, live: Trip | None) -> list[Trip]:
    """Trips of open orders that are out meanwhile and share somebody or something."""
    rows = Trip.objects.filter(called_off_at=None, order__state=Order.State.OPEN)
    rows = rows.filter(leaves_at__lt=asked.returns_at, returns_at__gt=asked.leaves_at).select_related("order")
    rows = rows.exclude(pk=live.pk) if live is not None else rows
    return [row for row in rows.prefetch_related("people", "places") if _shared(row, asked)]


def _shared(other: Trip, asked: TripAsked) -> str:
    """ "Jo and the truck are away with it" """
    people = [person.short_name for person in other.people.all() if person in asked.people]
    places = [str(place) for place in other.places.all() if place in asked.places]
    names = people + places
    if not names:
        return ""
    words = ngettext(
        "{names} is away with it; name others, or another day",
        "{names} are away with it; name others, or another day",
        len(names),
    )
    return words.format(names=_(" and ").join(names))


def _away(asked: TripAsked) -> Iterator[str]:
    rows = DatedHours.objects.filter(
        person__in=asked.people,
        kind=DatedHours.Kind.AWAY,
        starts_at__lt=asked.returns_at,
        ends_at__gt=asked.leaves_at,
    )
    for row in rows.select_related("person").order_by("starts_at"):
        yield _("{name} is away from {since} to {until}: name somebody else.").format(
            name=row.person.short_name, since=_when(row.starts_at), until=_when(row.ends_at)
        )


def _write(trip: Trip, asked: TripAsked, seen_version: int | None, by: User, now: datetime) -> None:
    for name in ("leaves_at", "drive_min", "check_in_by", "returns_at", "permit", "escort", "note"):
        setattr(trip, name, getattr(asked, name))
    trip.full_clean()
    sign(trip, by=by, now=now, reason=_("booked") if seen_version is None else _("booked anew"))
    if seen_version is None:
        trip.save()
    else:
        trip.save_over(seen_version)
    trip.people.set(asked.people)
    trip.places.set(asked.places)


def _fix_order(order: Order, legs: Legs, asked: TripAsked, by: User, now: datetime) -> None:
    order.fixed_delivery_at = asked.leaves_at
    order.full_clean()
    sign(order, by=by, now=now, reason=_("her trip is booked"))
    order.save()
    if not legs.out.on_fixed_date:
        legs.out.on_fixed_date = True
        sign(legs.out, by=by, now=now, reason=_("her trip is booked"))
        legs.out.save()


def _pin(trip: Trip, legs: Legs, asked: TripAsked, by: User, now: datetime) -> None:
    """Out until they turn round for home, then back: between them they take the whole of the trip."""
    _unpin(trip, by, now)
    turn = asked.returns_at
    if legs.back is not None and (way := way_of(legs.back, asked.people)) is not None:
        turn = max(turn - timedelta(minutes=way.duration_min), asked.leaves_at + timedelta(minutes=asked.drive_min))
    spans = [(legs.out, asked.leaves_at, turn)]
    if legs.back is not None:
        spans.append((legs.back, turn, asked.returns_at))
    for job, starts, ends in spans:
        for other in job.pins.filter(withdrawn_at=None):
            other.withdrawn_at = now
            sign(other, by=by, now=now, reason=_("her trip is booked"))
            other.save()
        pin = Pin(job=job, starts_at=starts, ends_at=ends, trip=trip, reason=reason_of(trip), made_by=by, made_at=now)
        sign(pin, by=by, now=now, reason=_("her trip is booked"))
        pin.save()
        pin.people.set(asked.people)
        pin.places.set(asked.places)


def _unpin(trip: Trip, by: User, now: datetime) -> None:
    for pin in trip.pins.filter(withdrawn_at=None):
        pin.withdrawn_at = now
        sign(pin, by=by, now=now, reason=_("her trip was changed"))
        pin.save()


def reason_of(trip: Trip) -> str:
    return _("her trip leaves {leaves_at} and does not move").format(leaves_at=_when(trip.leaves_at))


def _when(at: datetime) -> str:
    """ "Thu 6 May, 08:00", on the yard's clock."""
    zone = YardSettings.objects.values_list("time_zone", flat=True).filter(pk=1).first() or "UTC"
    local = at.astimezone(ZoneInfo(zone))
    return said(local, "D j M, H:i")
