"""A small yard with owners to tell: boats, orders, a plan, and what was told of it."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

from model_bakery import baker

from yard.models import (
    Boat,
    BoatOwner,
    Fact,
    Job,
    JobKind,
    JobWay,
    Order,
    Owner,
    Plan,
    PlannedJob,
    ShopHours,
    Telling,
    YardSettings,
)
from yard.queries.plans import posted_plan
from yard.services.letters.reading import Reading, reading_of
from yard.services.letters.release import Reader

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)  # a Thursday, 10:00 in the yard
TODAY = date(2027, 5, 6)


def make_yard() -> YardSettings:
    for weekday in range(5):
        ShopHours.objects.create(weekday=weekday, starts=time(7), ends=time(17))
    ShopHours.objects.create(weekday=5, starts=time(8), ends=time(13))
    return YardSettings.objects.create(
        name="Tallow Creek Yard",
        phone="555 0142",
        email="yard@example.org",
        time_zone="America/New_York",
        clock_frozen_at=NOW,
    )


def make_plan(number: int = 1, state: str = Plan.State.POSTED) -> Plan:
    posted = NOW if state == Plan.State.POSTED else None
    return Plan.objects.create(number=number, state=state, made_at=NOW, posted_at=posted, facts_revision=0)


def make_owner(name: str, **more: object) -> Owner:
    values = {"email": f"{name.lower()}@example.org", "phone": "555 0101"} | more
    return Owner.objects.create(name=name, **values)


def make_order(plan: Plan | None, owner: Owner | None, name: str, at: datetime, **job: object) -> Order:
    """One order of a boat of that name with one job; its way is two hours for one hand."""
    kind, _ = JobKind.objects.get_or_create(
        key="deliver", defaults={"name": "Deliver", "short_name": "deliver", "letter": "V", "trade": "mooring"}
    )
    ref = name.lower().replace(" ", "-")
    boat = Boat.objects.filter(ref=ref).first() or baker.make(
        Boat, ref=ref, name=name, length_m=8, beam_m=2.5, displacement_kg=2000
    )
    if owner is not None:
        BoatOwner.objects.get_or_create(
            boat=boat, owner=owner, defaults={"starts_on": date(2020, 1, 1), "told_first": True}
        )
    order = Order.objects.create(
        ref=f"{ref}-{boat.orders.count()}"[:20], boat=boat, name="Spring commissioning", made_at=NOW
    )
    values: dict[str, object] = {"key": "deliver", "name": "Deliver", "outdoor": True} | job
    work = Job.objects.create(order=order, kind=kind, **values)
    JobWay.objects.create(job=work, duration_min=120, crew=[{"skill": "yard", "level": 1, "count": 1}])
    if plan is not None:
        PlannedJob.objects.create(plan=plan, job=work, starts_at=at, ends_at=at + timedelta(hours=2))
    return order


def tell(
    order: Order, state: str, day: date | None, *, plan: Plan | None = None, at: datetime | None = None
) -> Telling:
    return Telling.objects.create(
        order=order,
        boat=order.boat,
        owner=order.boat.owners.first() if order.boat else None,
        state=state,
        told_date=day,
        how="call",
        told_at=at or NOW - timedelta(days=20),
        plan=plan,
    )


def fact_of(order: Order, kind: str, name: str, **more: object) -> Fact:
    values: dict[str, object] = {"state": "unknown", "set_at": NOW} | more
    fact = Fact.objects.create(kind=kind, name=name, order=order, **values)
    fact.jobs.add(order.jobs.get())
    return fact


def reader(by: object, yard: YardSettings) -> Reader:
    return Reader(by=by, now=NOW, plan=posted_plan(), yard=yard)


def read(owner: Owner, yard: YardSettings, by: object = None) -> Reading | None:
    return reading_of(owner, posted_plan(), yard, now=NOW, by=by)


def move(order: Order, before: Plan, day_later: int, *, number: int = 2) -> Plan:
    """A second plan, posted in the place of the first, in which the order's job lies that many days later."""
    Plan.objects.filter(pk=before.pk).update(state=Plan.State.SUPERSEDED)
    after = make_plan(number)
    for row in before.planned_jobs.all():
        later = timedelta(days=day_later if row.job.order_id == order.pk else 0)
        PlannedJob.objects.create(plan=after, job=row.job, starts_at=row.starts_at + later, ends_at=row.ends_at + later)
    return after
