"""Two seasons that are over and closed, so that there is something to compare with and for the bookkeeper.

Their orders say of which package they were, so that they can be taken again; their jobs are no jobs of it and their
hours are off the day sheets: they teach the estimates nothing, and change nothing of the season in hand.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.db import transaction

from yard.models import (
    Boat,
    Closure,
    ExtraWork,
    Job,
    JobKind,
    JobWay,
    JobWork,
    MaterialUsed,
    Order,
    Package,
    Person,
    Place,
    PlaceKind,
    Season,
    Whereabouts,
)
from yard.services.example_yard.description import PastFile, PastSeason, PastWork
from yard.services.example_yard.pen import Pen

WORK_BEGINS = time(8)
FARTHEST_LATE_DAYS = 9
USED_BY, EXTRA_BY = 0.6, 0.2
"""Of the orders, those whose materials were noted, and those that came with an extra."""


@dataclass(frozen=True)
class _Ground:
    """kinds, packages: by key; hands: people by skill."""

    about: PastFile
    season: Season
    kinds: dict[str, JobKind]
    packages: dict[str, Package]
    hands: dict[str, list[Person]]
    rng: random.Random
    pen: Pen


@transaction.atomic
def write_past_seasons(about: PastFile, pen: Pen) -> None:
    """After the boats and people are there. Each season is written whole, with the moment at which it was closed."""
    boats = list(Boat.objects.filter(archived=False).order_by("pk"))
    kinds = {kind.key: kind for kind in JobKind.objects.all()}
    packages = {package.key: package for package in Package.objects.all()}
    hands: dict[str, list[Person]] = {}
    for person in Person.objects.prefetch_related("skills__skill").order_by("pk"):
        for has in person.skills.all():
            hands.setdefault(has.skill.key, []).append(person)
    for told in about.season:
        closed = pen.moment(told.closed_on, WORK_BEGINS)
        row = Season(name=told.name, starts_on=told.starts_on, ends_on=told.ends_on, closed_at=closed)
        [season] = pen.insert([row], closed)
        rng = random.Random(f"{pen.space} {told.name}")
        _write(_Ground(about, season, kinds, packages, hands, rng, pen), told, boats)


def _write(ground: _Ground, told: PastSeason, boats: list[Boat]) -> None:
    rng, pen = ground.rng, ground.pen
    works = [work for work in ground.about.work if work.key in told.works]
    chosen = rng.sample(boats, round(told.share * len(boats)))
    days = (told.window[1] - told.window[0]).days
    pairs = [(boat, rng.choice(works), told.window[0] + timedelta(days=rng.randrange(days))) for boat in chosen]
    orders = [_order(ground, told, number, pair) for number, pair in enumerate(pairs, 1)]
    at = pen.moment(told.closed_on, WORK_BEGINS)
    pen.insert(orders, at)
    made = [
        (pair[1], job) for order, pair in zip(orders, pairs, strict=True) for job in _jobs(ground, told, order, pair)
    ]
    pen.insert([job for _, job in made], at)
    pen.insert([JobWay(job=job, duration_min=work.jobs[job.sequence].minutes) for work, job in made], at)
    pen.insert([row for work, job in made for row in _worked(ground, work, job)], at)
    first = [(work, job) for work, job in made if job.sequence == 0]
    pen.insert([row for work, job in first if rng.random() < USED_BY for row in _used(work, job, pen)], at)
    pen.insert([row for work, job in first if rng.random() < EXTRA_BY for row in _extra(work, job, pen)], at)
    pen.insert(list(_lost_days(ground, told)), at)
    pen.insert(list(_moves(ground, told, chosen)), at)


def _order(ground: _Ground, told: PastSeason, number: int, pair: tuple[Boat, PastWork, date]) -> Order:
    boat, work, day = pair
    late = ground.rng.random() < told.late
    days = -ground.rng.randint(1, FARTHEST_LATE_DAYS) if late else ground.rng.randint(0, FARTHEST_LATE_DAYS)
    last = day + timedelta(days=len(work.jobs) - 1)
    return Order(
        ref=f"{told.starts_on:%y}-{told.name[0]}{number:02d}",
        boat=boat,
        name=work.name,
        package=ground.packages[work.package],
        season=ground.season,
        state=Order.State.DONE,
        promised_date=last + timedelta(days=days),
        made_by=ground.pen.by,
        made_at=ground.pen.moment(day - timedelta(days=40), WORK_BEGINS),
    )


def _jobs(ground: _Ground, told: PastSeason, order: Order, pair: tuple[Boat, PastWork, date]) -> Iterator[Job]:
    """A job a day, one after another."""
    _, work, day = pair
    for number, line in enumerate(work.jobs):
        began = ground.pen.moment(day + timedelta(days=number), WORK_BEGINS)
        worked = max(15, 5 * round(line.minutes * told.hours * ground.rng.uniform(0.8, 1.25) / 5))
        yield Job(
            uid=ground.pen.uid(f"{order.ref} {number}"),
            order=order,
            kind=ground.kinds[line.kind],
            key=f"job_{number + 1}",
            name=line.name,
            sequence=number,
            state=Job.State.DONE,
            actual_starts_at=began,
            actual_ends_at=began + timedelta(minutes=min(worked, 480)),
            worked_min=worked,
            hours_as_planned=True,
        )


def _worked(ground: _Ground, work: PastWork, job: Job) -> Iterator[JobWork]:
    line = work.jobs[job.sequence]
    there = ground.hands.get(line.skill, [])
    assert job.actual_starts_at is not None
    day = job.actual_starts_at.astimezone(ground.pen.zone).date()
    for person in ground.rng.sample(there, min(line.people, len(there))):
        yield JobWork(job=job, person=person, worked_on=day, worked_min=job.worked_min)


def _used(work: PastWork, job: Job, pen: Pen) -> Iterator[MaterialUsed]:
    if work.used is not None:
        yield MaterialUsed(
            job=job,
            name=work.used.name,
            quantity=work.used.quantity,
            unit=work.used.unit,
            used_on=_day(job, pen),
            noted_by=pen.by,
            noted_at=job.actual_ends_at or job.order.made_at,
        )


def _extra(work: PastWork, job: Job, pen: Pen) -> Iterator[ExtraWork]:
    """Most owners said yes on the telephone; of some nobody asked."""
    if work.extra is not None:
        agreed = ExtraWork.Agreed.NOT_ASKED if job.pk % 4 == 0 else ExtraWork.Agreed.PHONE
        what, minutes, noted = work.extra.what, work.extra.minutes, job.actual_ends_at or job.order.made_at
        yield ExtraWork(
            job=job,
            what=what,
            extra_min=minutes,
            agreed=agreed,
            done_on=_day(job, pen),
            noted_by=pen.by,
            noted_at=noted,
        )


def _day(job: Job, pen: Pen) -> date:
    at: datetime = job.actual_ends_at or job.order.made_at
    return at.astimezone(pen.zone).date()


def _lost_days(ground: _Ground, told: PastSeason) -> Iterator[Closure]:
    days = (told.window[1] - told.window[0]).days
    for step in sorted(ground.rng.sample(range(days), told.lost)):
        day = told.window[0] + timedelta(days=step)
        yield Closure(
            covers=Closure.Covers.OUTDOORS,
            starts_at=ground.pen.moment(day, time(7)),
            ends_at=ground.pen.moment(day, time(17)),
            reason="wind and rain",
            state=Closure.State.ACCEPTED,
            made_by=ground.pen.by,
            made_at=ground.pen.moment(day, time(6)),
        )


def _moves(ground: _Ground, told: PastSeason, boats: list[Boat]) -> Iterator[Whereabouts]:
    """Boats that were put down, and once more beside another: long before where they lie now was written."""
    row = Place.objects.filter(kind=PlaceKind.STORE_ROW).order_by("pk").first()
    if row is None:
        return
    seen = Whereabouts.objects.filter(kind=Whereabouts.Kind.STORE_ROW)
    seen = seen.filter(since__date__gte=told.starts_on, since__date__lt=told.ends_on)
    again = set(seen.values_list("boat", flat=True))
    moved = ground.rng.sample(boats, min(told.moves, len(boats)))
    for spot, boat in enumerate(sorted(moved, key=lambda boat: boat.pk), 1):
        for number in range(1 if boat.pk in again else 2):
            day = told.window[0] - timedelta(days=20 - 5 * number)
            since = ground.pen.moment(day, time(9 + number))
            yield Whereabouts(boat=boat, kind=Whereabouts.Kind.STORE_ROW, place=row, position=spot, since=since)
