"""The check of booked trips at the yard's door: from the trip's own row, sharing nothing with the pins it made.

A trip leaves at its hour with its people, truck and trailer, is at the check-in in time with its permit, and nobody and
nothing of it does other work until they are back.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _

from yard.models import Fact, FactKind, Plan, PlannedJob, Trip

TRIPS = "trips"
GRAIN = timedelta(minutes=15)
"""A plan's quarter: a trip that leaves between two of them is planned from the next."""


@dataclass(frozen=True, slots=True)
class TripFault:
    job: int | None
    message: str


def trip_faults(plan: Plan) -> Iterator[TripFault]:
    """Of trips that were not called off and not over when the plan was made. Three queries a trip."""
    rows = Trip.objects.filter(called_off_at=None, returns_at__gt=plan.made_at, order__state="open")
    for trip in rows.select_related("order").prefetch_related("people", "places").order_by("leaves_at", "pk"):
        mine = plan.planned_jobs.filter(job__order=trip.order).select_related("job__kind")
        hers = list(mine.prefetch_related("people", "places"))
        if not hers:
            continue  # the whole boat is left out, which the plan says itself
        yield from _leaves(trip, hers)
        yield from _check_in(trip)
        yield from _permit(trip)
        yield from _booked(trip, plan)


def _leaves(trip: Trip, hers: list[PlannedJob]) -> Iterator[TripFault]:
    """Her way out begins at the hour, with everybody and everything; all other work on her is done before."""
    out = [row for row in hers if row.job.kind.key == "road_out" or row.job.on_fixed_date]
    if not out:
        yield TripFault(
            None,
            _("{order} leaves at {leaves_at}, and the plan has no job for it").format(
                order=trip.order.ref, leaves_at=_utc(trip.leaves_at)
            ),
        )
        return
    first = min(out, key=lambda row: row.starts_at)
    if not trip.leaves_at <= first.starts_at < trip.leaves_at + GRAIN:
        words = _("“{job}” is planned at {starts_at}; her trip leaves at {leaves_at} and does not move").format(
            job=first.job.name, starts_at=_utc(first.starts_at), leaves_at=_utc(trip.leaves_at)
        )
        yield TripFault(first.job_id, words)
    if missing := [str(one) for one in trip.people.all() if one not in first.people.all()]:
        yield TripFault(
            first.job_id,
            _("“{job}” goes without {names}").format(job=first.job.name, names=_(" and ").join(missing)),
        )
    if missing := [str(one) for one in trip.places.all() if one.kind in ("truck",) and one not in first.places.all()]:
        yield TripFault(
            first.job_id,
            _("“{job}” goes without {names}").format(job=first.job.name, names=_(" and ").join(missing)),
        )
    for row in hers:
        late = row not in out and row.job.kind.key != "road_back" and row.ends_at > first.starts_at
        if late:
            yield TripFault(row.job_id, _("“{job}” is not done when she leaves").format(job=row.job.name))


def _check_in(trip: Trip) -> Iterator[TripFault]:
    there = trip.leaves_at + timedelta(minutes=trip.drive_min)
    if trip.check_in_by is not None and there > trip.check_in_by:
        late = round((there - trip.check_in_by).total_seconds() / 60)
        yield TripFault(
            None, _("the trip of {order} is {late} min late for its check-in").format(order=trip.order.ref, late=late)
        )


def _permit(trip: Trip) -> Iterator[TripFault]:
    """A permit that is expected comes before she leaves; one that is unknown is none."""
    hers = Fact.objects.filter(kind=FactKind.PERMIT, jobs__order=trip.order, jobs__kind__key="road_out")
    for fact in hers.distinct():
        expected = fact.expected_date
        late = expected is not None and expected > trip.leaves_at.date()
        if fact.state == Fact.State.UNKNOWN or late:
            words = (
                _("the trip of {ref} leaves on {day}, and {fact} is expected on {expected}")
                if late
                else _("the trip of {ref} leaves on {day}, and {fact} is unknown")
            )
            day = f"{trip.leaves_at:%Y-%m-%d}"
            yield TripFault(None, words.format(ref=trip.order.ref, day=day, fact=fact.name, expected=expected))


def _booked(trip: Trip, plan: Plan) -> Iterator[TripFault]:
    """Nobody and nothing of the trip does other work from the hour they leave until they are back."""
    meanwhile = plan.planned_jobs.filter(starts_at__lt=trip.returns_at, ends_at__gt=trip.leaves_at)
    others = meanwhile.exclude(job__order=trip.order)
    for row in others.filter(people__in=trip.people.all()).select_related("job__order").distinct():
        names = ", ".join(str(one) for one in row.people.all() if one in trip.people.all())
        yield TripFault(row.job_id, _away(row, names, trip))
    for row in others.filter(places__in=trip.places.all()).select_related("job__order").distinct():
        taken = [one for one in row.places.all() if one in trip.places.all() and one.capacity == 1]
        if taken:
            yield TripFault(row.job_id, _away(row, ", ".join(map(str, taken)), trip))


def _away(row: PlannedJob, names: str, trip: Trip) -> str:
    return _("“{job}” of {order} wants {names}, away with {trip}").format(
        job=row.job.name, order=row.job.order.ref, names=names, trip=trip.order.ref
    )


def _utc(at: datetime) -> str:
    return f"{at:%Y-%m-%d %H:%M} UTC"
