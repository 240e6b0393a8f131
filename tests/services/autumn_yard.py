"""A tiny yard in October for tests: two rows of the store, three boats on moorings that are to be hauled, no packages.

Haul one hour, wash one hour at most two hours later, winterise one hour; nobody and no water is needed for any.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time

from yard.models import (
    Boat,
    Item,
    Job,
    JobKind,
    JobLink,
    JobWay,
    Order,
    Person,
    Place,
    ShopHours,
    StackMeasure,
    WeeklyHours,
    YardSettings,
)

NOW = datetime(2027, 10, 7, 12, tzinfo=UTC)  # Thursday 08:00 at the yard
TODAY = date(2027, 10, 7)
NAMES = ("Wren", "Teal", "Smew")


@dataclass(frozen=True)
class AutumnYard:
    yard: YardSettings
    boats: tuple[Boat, ...]
    orders: tuple[Order, ...]
    rows: tuple[Place, ...]
    kinds: dict[str, JobKind]

    def job(self, boat: int, key: str) -> Job:
        return Job.objects.get(order=self.orders[boat], key=key)


def make_autumn(*, wanted: tuple[int, ...] = (12, 14, 18), leaves: tuple[int, ...] = (20, 1, 10)) -> AutumnYard:
    """wanted: days of October on which they are to be hauled; leaves: days of May on which they went last spring."""
    yard = YardSettings.objects.create(
        name="Creek", time_zone="America/New_York", tide_station="8418150", latitude=43.66, longitude=-70.25
    )
    ben = Person.objects.create(name="Ben Ash", short_name="Ben")
    for weekday in range(6):
        WeeklyHours.objects.create(person=ben, weekday=weekday, starts=time(8), ends=time(16))
        ShopHours.objects.create(weekday=weekday, starts=time(8), ends=time(16))
    kinds = {
        key: JobKind.objects.create(key=key, name=key.title(), short_name=key[:8], letter=key[0], trade="yard")
        for key in ("haul", "wash_bottom", "winterise", "launch")
    }
    rows = tuple(
        Place.objects.create(ref=f"row-{n}", name=f"Row {n}", kind="store_row", capacity=2, sequence=n) for n in (1, 2)
    )
    boats, orders = [], []
    for number, name in enumerate(NAMES):
        boat = Boat.objects.create(ref=name.lower(), name=name, length_m=7.0, beam_m=2.3, mast_height_m=9.0)
        boats.append(boat)
        _launched(boat, kinds["launch"], date(2027, 5, leaves[number]))
        orders.append(_lay_up(boat, kinds, date(2027, 10, wanted[number])))
        Item.objects.create(boat=boat, kind="mast", name="mast")
    return AutumnYard(yard, tuple(boats), tuple(orders), rows, kinds)


def _launched(boat: Boat, kind: JobKind, on: date) -> None:
    order = Order.objects.create(ref=f"s-{boat.ref}", boat=boat, name="Spring", made_at=NOW, state="done")
    at = datetime.combine(on, time(15), UTC)
    Job.objects.create(order=order, kind=kind, key="launch", name="Launch", state="done", actual_ends_at=at)


def _lay_up(boat: Boat, kinds: dict[str, JobKind], wanted: date) -> Order:
    order = Order.objects.create(
        ref=f"a-{boat.ref}", boat=boat, name="Lay-up", made_at=NOW, earliest_date=TODAY, wanted_date=wanted,
        latest_date=date(2027, 10, 29),
    )  # fmt: skip
    jobs = []
    for sequence, key in enumerate(("haul", "wash_bottom", "winterise")):
        last = date(2027, 10, 22) if key == "winterise" else None
        job = Job.objects.create(
            order=order, kind=kinds[key], key=key, name=key.title(), sequence=sequence, finish_by_date=last
        )
        JobWay.objects.create(job=job, duration_min=60)
        jobs.append(job)
    JobLink.objects.create(before=jobs[0], after=jobs[1], max_wait_min=120, reason="wash at once")
    JobLink.objects.create(before=jobs[1], after=jobs[2])
    return order


def make_rack(levels: int = 2, per_level: int = 2) -> Place:
    rack = Place.objects.create(ref="rack", name="Rack", kind="spar_rack", capacity=1, max_length_m=12.0)
    StackMeasure.objects.create(place=rack, levels=levels, per_level=per_level)
    return rack
