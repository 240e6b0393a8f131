"""One piece of work on the ramp as pages read it: her need of water, its three parts in time, where she goes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.urls import NoReverseMatch, reverse
from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import Boat, Fact, GaugeReading, Job, Mooring, Order, PlannedJob, PlannedStay, YardSettings
from yard.services.read_problem import WaterLevel, WaterUnknown, level_for
from yard.web.units import local

Part = tuple[str, datetime, datetime, bool]
"""Name, start, end (UTC), whether it needs the water."""


@dataclass(frozen=True)
class RampWork:
    """level: what she needs, or the words that say which fact is missing. berth: "" if she goes to none.

    done_at: when it ended, None while it is open. waits_on: the facts that are not here yet.
    """

    job: Job
    boat: Boat | None
    name: str
    parts: tuple[Part, ...]
    level: WaterLevel | str
    crew: str
    berth: str
    after: str
    waits_on: str
    done_at: datetime | None

    @property
    def wet(self) -> tuple[datetime, datetime]:
        """The stretch that needs the water; all of it where no part says so."""
        wet = [part for part in self.parts if part[3]] or list(self.parts)
        return wet[0][1], wet[-1][2]

    @property
    def before(self) -> tuple[datetime, datetime] | None:
        """Loading, or the trailer down."""
        dry = [part for part in self.parts if part[2] <= self.wet[0]]
        return (dry[0][1], dry[-1][2]) if dry else None

    @property
    def afterwards(self) -> tuple[datetime, datetime] | None:
        """The trailer back, or drawn up."""
        dry = [part for part in self.parts if part[1] >= self.wet[1]]
        return (dry[0][1], dry[-1][2]) if dry else None

    @property
    def hauls(self) -> bool:
        """She comes out of the water, not in."""
        return self.job.kind.key == "haul"


def planned_work(
    row: PlannedJob, yard: YardSettings, floated: Mapping[int, GaugeReading], stay: PlannedStay | None
) -> RampWork:
    boat = row.job.order.boat
    return RampWork(
        job=row.job,
        boat=boat,
        name=boat_name(row.job.order),
        parts=parts_of(row),
        level=level_of(row.job, yard, floated),
        crew=", ".join(person.name for person in row.planned_people.all()),
        berth=_berth(stay),
        after=_after(row.job, stay),
        waits_on=_waits_on(row),
        done_at=row.job.actual_ends_at if row.job.state == Job.State.DONE else None,
    )


def done_work(job: Job, yard: YardSettings, floated: Mapping[int, GaugeReading]) -> RampWork:
    """Work that was done: its parts as its kind has them, from the time at which it really began."""
    ways = list(job.ways.all())
    listed: Sequence[Mapping[str, Any]] = (ways[0].parts if ways else []) or job.kind.parts
    ends = job.actual_ends_at
    assert ends is not None  # the database sees to it that a finished job has its end
    length = timedelta(minutes=sum(part["minutes"] for part in listed))
    starts = min(job.actual_starts_at or ends - length, ends)
    people = dict.fromkeys(work.person.short_name for work in job.work.all())
    return RampWork(
        job=job,
        boat=job.order.boat,
        name=boat_name(job.order),
        parts=_parts_from(listed, starts) or ((job.name, starts, ends, True),),
        level=level_of(job, yard, floated),
        crew=", ".join(people),
        berth="",
        after=_after(job, None),
        waits_on="",
        done_at=ends,
    )


def parts_of(row: PlannedJob) -> tuple[Part, ...]:
    """The parts that the plan wrote down; the whole job where it has none."""
    parts = tuple(
        (
            str(part["name"]),
            datetime.fromisoformat(part["starts_at"]),
            datetime.fromisoformat(part["ends_at"]),
            bool(part.get("water")),
        )
        for part in row.part_times
    )
    return parts or ((row.job.name, row.starts_at, row.ends_at, True),)


def _parts_from(listed: Sequence[Mapping[str, Any]], starts: datetime) -> tuple[Part, ...]:
    found, at = [], starts
    for part in listed:
        until = at + timedelta(minutes=part["minutes"])
        found.append((str(part["name"]), at, until, bool(part["water"])))
        at = until
    return tuple(found)


def level_of(job: Job, yard: YardSettings, floated: Mapping[int, GaugeReading]) -> WaterLevel | str:
    """What the job's boat needs, or which fact is missing; "" where it needs no water."""
    boat = job.order.boat
    if boat is None:
        return _("no boat is on file")
    reading = floated.get(boat.pk)
    seen = reading.observed_m_above_datum if reading else None
    try:
        return level_for(job.water_need, boat, mooring_of(job.order), yard, floated_at_m=seen) or ""
    except WaterUnknown as unknown:
        return str(unknown)


def mooring_of(order: Order) -> Mooring | None:
    """Where she goes: the order's own mooring, else the one of her permit."""
    if order.to_mooring is not None:
        return order.to_mooring
    return next(iter(order.boat.permit_moorings.all()), None) if order.boat is not None else None


def boat_name(order: Order) -> str:
    return order.boat.name if order.boat is not None else order.walk_in_name


def boat_address(boat: Boat | None) -> str:
    """The boat's own page; "" where there is none."""
    try:
        return reverse("boat", args=[boat.pk]) if boat is not None else ""
    except NoReverseMatch:
        return ""


def _berth(stay: PlannedStay | None) -> str:
    if stay is None:
        return ""
    name = stay.place.short_name or stay.place.name
    words = f"{name} {stay.unit}" if stay.place.capacity > 1 else name
    for said_by_the_heading in ("Berths ", "Berth "):
        if words.lower().startswith(said_by_the_heading.lower()):
            return words[len(said_by_the_heading) :]
    return words


def _after(job: Job, stay: PlannedStay | None) -> str:
    """ "44, Wed 12": the mooring where she goes from there, and on which day."""
    mooring = mooring_of(job.order)
    words = mooring.ref if mooring is not None else ""
    if stay is None:
        return words
    return f"{words or _('leaves')}, {said(local(stay.ends_at), 'D j')}"


def _waits_on(row: PlannedJob) -> str:
    if not row.provisional:
        return ""
    names = [fact.name for fact in row.job.facts.all() if fact.state != Fact.State.HERE]
    return _("waiting on {facts}").format(facts=", ".join(names)) if names else _("waiting on a fact")
