"""A yard for the tests of calendars: two people, two boats, two places, and plans put on its wall by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

from yard.models import (
    Boat,
    BoatOwner,
    FactsRevision,
    Job,
    JobKind,
    Order,
    Owner,
    Person,
    Place,
    Plan,
    PlannedJob,
    PlannedPerson,
    PlannedPlace,
    ShopHours,
    WeeklyHours,
    YardSettings,
)
from yard.services.facts_revision import bump_facts
from yard.services.feeds.bring_up_to_date import Brought, bring_up_to_date

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
"""Thursday 6 May 2027, 10:00 in the yard."""
HOUR = timedelta(hours=1)
ZONE = "America/New_York"


@dataclass(frozen=True)
class Placed:
    """Where the plan puts a job: its start, how long, who and where."""

    job: Job
    starts_at: datetime
    lasts: timedelta = HOUR
    people: Sequence[Person] = ()
    places: Sequence[Place] = ()
    provisional: bool = False


@dataclass
class FeedYard:
    yard: YardSettings
    arne: Person
    wren: Person
    wagtail: Boat
    kittiwake: Boat
    cy: Owner
    dee: Owner
    ramp: Place
    loft: Place
    now: datetime = NOW
    plans: list[Plan] = field(default_factory=list)

    def job(self, name: str, boat: Boat | None = None, **facts: Any) -> Job:
        """A job of an order of its own."""
        number = Order.objects.count() + 1
        order = Order.objects.create(
            ref=f"27-{number:03d}", boat=boat or self.wagtail, name="Spring commissioning", made_at=NOW
        )
        kind = JobKind.objects.get(key=facts.pop("kind", "tune"))
        given = {"outdoor": kind.outdoor, "weather_class": kind.weather_class, "water_need": kind.water_need}
        return Job.objects.create(order=order, kind=kind, key="job", name=name, **(given | facts))

    def post(self, *placed: Placed) -> Brought:
        """Put a plan of these jobs on the wall, and tell calendars."""
        Plan.objects.filter(state=Plan.State.POSTED).update(state=Plan.State.SUPERSEDED)
        number = len(self.plans) + 1
        plan = Plan.objects.create(
            number=number, state=Plan.State.POSTED, made_at=self.now, posted_at=self.now, facts_revision=0
        )
        self.plans.append(plan)
        for each in placed:
            _place(plan, each)
        return self.refresh()

    def withdraw(self) -> Brought:
        Plan.objects.filter(state=Plan.State.POSTED).update(state=Plan.State.WITHDRAWN)
        return self.refresh()

    def fact_changed(self) -> Brought:
        bump_facts()
        return self.refresh()

    def refresh(self) -> Brought:
        return bring_up_to_date(now=self.now)

    def later(self, **span: float) -> None:
        self.now += timedelta(**span)
        YardSettings.objects.update(clock_frozen_at=self.now)


def _place(plan: Plan, each: Placed) -> None:
    row = PlannedJob.objects.create(
        plan=plan,
        job=each.job,
        starts_at=each.starts_at,
        ends_at=each.starts_at + each.lasts,
        provisional=each.provisional,
    )
    for person in each.people:
        PlannedPerson.objects.create(planned_job=row, person=person, name=person.short_name)
    for place in each.places:
        PlannedPlace.objects.create(planned_job=row, place=place)


def make_feed_yard() -> FeedYard:
    FactsRevision.objects.get_or_create(pk=1)
    yard = YardSettings.objects.create(
        name="Tallow Creek Yard",
        phone="609-555-0100",
        time_zone=ZONE,
        tide_station="8418150",
        latitude=43.66,
        longitude=-70.25,
        ramp_toe_m_above_datum=-0.5,
        trailer_height_m=0.6,
        clock_frozen_at=NOW,
    )
    _kinds()
    arne, wren = (_person(name) for name in ("Arne", "Wren"))
    ShopHours.objects.bulk_create(ShopHours(weekday=day, starts=time(7), ends=time(17)) for day in range(5))
    boats = [
        Boat.objects.create(ref=name.lower(), name=name, length_m=7, beam_m=2, draft_m=1.0)
        for name in ("Wagtail", "Kittiwake")
    ]
    owners = [Owner.objects.create(name=name, phone="609-555-0199") for name in ("Cy Holt", "Dee Marsh")]
    for boat, owner in zip(boats, owners, strict=True):
        BoatOwner.objects.create(boat=boat, owner=owner, starts_on=date(2020, 1, 1))
    ramp = Place.objects.create(ref="ramp", name="Ramp", kind="ramp")
    loft = Place.objects.create(ref="loft", name="Loft floor", kind="loft_floor")
    return FeedYard(yard, arne, wren, *boats, *owners, ramp, loft)


def _kinds() -> None:
    common = {"short_name": "x", "letter": "X"}
    JobKind.objects.create(key="tune", name="Static tune", trade="rig", cautions="Nobody under the mast.", **common)
    JobKind.objects.create(key="sew", name="Sew a cover", trade="loft", pausing="paused", **common)
    launch = {"outdoor": True, "weather_class": "afloat", "water_need": "ramp", "needs_boat": True}
    JobKind.objects.create(key="launch", name="Launch", trade="launch", **launch, **common)


def _person(name: str) -> Person:
    person = Person.objects.create(name=f"{name} Ash", short_name=name)
    WeeklyHours.objects.bulk_create(
        WeeklyHours(person=person, weekday=day, starts=time(8), ends=time(16)) for day in range(5)
    )
    return person


def at(day: int, hour: float, month: int = 5) -> datetime:
    """An hour of the yard's clock in summer 2027, four hours behind UTC."""
    return datetime(2027, month, day, tzinfo=UTC) + timedelta(hours=hour + 4)
