"""The example yard in October: last spring is on file, some boats are in the store, the others are to come out."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import msgspec

from yard.models import (
    AutumnRules,
    Boat,
    Item,
    ItemWhereabouts,
    Job,
    Mooring,
    Order,
    Place,
    StackMeasure,
    Whereabouts,
)
from yard.services.example_yard.description import SIZES, Size
from yard.services.example_yard.fleet import DrawnBoat, Fleet
from yard.services.example_yard.ordering import write_orders
from yard.services.example_yard.pen import Pen
from yard.services.example_yard.wishes import Wish

AUTUMN = Path(__file__).parents[3] / "fixtures" / "example" / "autumn.toml"
COMES_OUT_AT, GOES_IN_AT = time(15), time(14)
NO_MAST = ("unbend", "unstep", "store")
ORDERED_ON = date(2027, 8, 2)


class Stacks(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    row_per_boat_m: float
    row_headroom_m: float
    rack_levels: tuple[int, int, int]
    rack_per_level: tuple[int, int, int]


class Autumn(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """As fixtures/example/autumn.toml has it."""

    hauled_from: tuple[date, date, date]
    wanted: tuple[date, date]
    earlier_days: int
    later_days: int
    done_before_october: tuple[float, float, float]
    by_owner: float
    washed: float
    due_weeks: int
    rules: dict[str, Any]
    stacks: Stacks


def read_autumn() -> Autumn:
    return msgspec.toml.decode(AUTUMN.read_bytes(), type=Autumn)


def write_autumn(
    size: Size, fleet: Fleet, boats: Sequence[Boat], wishes: Sequence[Wish], rng: random.Random, pen: Pen, now: datetime
) -> None:
    """Everything that October has beside places, people and boats: rules, last spring, the summer, lay-ups."""
    about = read_autumn()
    pen.insert([AutumnRules(**about.rules)], now)
    _write_stacks(about, size, pen, now)
    spring = [wish for wish in wishes if wish.package == "spring_commissioning" and wish.boat is not None]
    launched = _write_spring(spring, boats, pen)
    afloat = [drawn for drawn in fleet.boats if drawn.kept == "commissioned"]
    out = _came_out(about, size, afloat, rng, now.astimezone(pen.zone).date())
    _write_where(fleet, boats, launched, out, pen)
    _write_things(fleet, boats, launched, out, pen)
    lay_ups = [_lay_up(about, drawn, out.get(drawn.index), rng) for drawn in afloat if drawn.draft_m is not None]
    orders = write_orders(lay_ups, boats, pen)
    _finish([order for order, wish in zip(orders, lay_ups, strict=True) if wish.boat in out], out, lay_ups, pen)


def _write_stacks(about: Autumn, size: Size, pen: Pen, at: datetime) -> None:
    stacks, number = about.stacks, SIZES.index(size)
    rows = [
        StackMeasure(
            place=place, length_m=round(place.capacity * stacks.row_per_boat_m, 1), height_m=stacks.row_headroom_m
        )
        for place in Place.objects.filter(kind="store_row").order_by("sequence")
    ]
    rack = Place.objects.get(ref="spar-racks")
    rows.append(StackMeasure(place=rack, levels=stacks.rack_levels[number], per_level=stacks.rack_per_level[number]))
    pen.insert(rows, at)


def _write_spring(spring: Sequence[Wish], boats: Sequence[Boat], pen: Pen) -> Mapping[int, datetime]:
    """Last spring's commissioning, done on the day that was wanted; when each boat was launched, by index."""
    orders = write_orders(spring, boats, pen)
    launched: dict[int, datetime] = {}
    jobs = []
    for order, wish in zip(orders, spring, strict=True):
        at = pen.moment(wish.wanted or wish.made_on, GOES_IN_AT)
        for job in order.jobs.exclude(state=Job.State.CANCELLED):
            job.state, job.actual_ends_at = Job.State.DONE, at
            jobs.append(job)
        order.state = Order.State.DONE
        if wish.boat is not None:
            launched[wish.boat] = at
    if jobs:
        last = max(job.actual_ends_at for job in jobs if job.actual_ends_at is not None)
        pen.update(jobs, ["state", "actual_ends_at"], last)
        pen.update(orders, ["state"], last)
    return launched


def _came_out(
    about: Autumn, size: Size, afloat: Sequence[DrawnBoat], rng: random.Random, today: date
) -> dict[int, date]:
    """Those who are out already, each with her day: spread over the days since hauling began, as they came."""
    began, share = about.hauled_from[SIZES.index(size)], about.done_before_october[SIZES.index(size)]
    measured = [drawn.index for drawn in afloat if drawn.draft_m is not None]
    chosen = rng.sample(measured, round(len(measured) * share))
    days = [began + timedelta(days=step) for step in range((today - began).days)]
    working = [day for day in days if day.weekday() < 5]
    return {index: working[number * len(working) // max(1, len(chosen))] for number, index in enumerate(chosen)}


def _write_where(
    fleet: Fleet, boats: Sequence[Boat], launched: Mapping[int, datetime], out: Mapping[int, date], pen: Pen
) -> None:
    """Afloat on their moorings since spring; in the store row by row in the order in which they came out."""
    moorings = {mooring.permit_boat_id: mooring for mooring in Mooring.objects.filter(permit_boat__isnull=False)}
    rows = list(Place.objects.filter(kind="store_row").order_by("sequence"))
    idle = [drawn.index for drawn in fleet.boats if drawn.kept == "idle"]
    since = pen.moment(ORDERED_ON, COMES_OUT_AT)
    found = []
    for index, at in launched.items():
        mooring = moorings.get(boats[index].pk)
        if mooring is not None:
            found.append(Whereabouts(boat=boats[index], kind="mooring", mooring=mooring, since=at))
    for number, index in enumerate([*idle, *sorted(out, key=lambda each: (out[each], each))]):
        row = rows[number // max(1, rows[0].capacity - 1) % len(rows)]
        position = sum(each.place == row for each in found if each.kind == "store_row") + 1
        at = since if index in idle else pen.moment(out[index], COMES_OUT_AT)
        found.append(Whereabouts(boat=boats[index], kind="store_row", place=row, position=position, since=at))
    for drawn, boat in zip(fleet.boats, boats, strict=True):
        if drawn.kept in ("loft", "new"):
            found.append(Whereabouts(boat=boat, kind="away", since=since))
    pen.insert(found, since)


def _write_things(
    fleet: Fleet, boats: Sequence[Boat], launched: Mapping[int, datetime], out: Mapping[int, date], pen: Pen
) -> None:
    """Masts and sails are aboard, or where the lay-up left them."""
    racks, store = Place.objects.get(ref="spar-racks"), Place.objects.get(ref="sail-store")
    since = pen.moment(ORDERED_ON, COMES_OUT_AT)
    items, places = [], []
    for drawn, boat in zip(fleet.boats, boats, strict=True):
        if not drawn.has_mast or drawn.kept not in ("commissioned", "idle"):
            continue
        ashore = drawn.index in out or drawn.kept == "idle"
        came_off = pen.moment(out[drawn.index], COMES_OUT_AT) if drawn.index in out else since
        area = round(drawn.length_m * 2.9, 1)
        items.append(Item(boat=boat, kind=Item.Kind.MAST, name="mast"))
        items.append(Item(boat=boat, kind=Item.Kind.SAIL, name="mainsail", bag_tag=f"S{drawn.index:03d}", area_m2=area))
        places += [(racks if ashore else None, came_off), (store if ashore else None, came_off)]
    pen.insert(items, since)
    pen.insert(
        [
            ItemWhereabouts(
                item=item,
                kind=ItemWhereabouts.Kind.PLACE if place is not None else ItemWhereabouts.Kind.ABOARD,
                place=place,
                condition=ItemWhereabouts.Condition.DRY if item.kind == Item.Kind.SAIL and place is not None else "",
                since=at,
            )
            for item, (place, at) in zip(items, places, strict=True)
        ],
        since,
    )


def _lay_up(about: Autumn, drawn: DrawnBoat, out: date | None, rng: random.Random) -> Wish:
    """wanted: the day on which she is to come out; the whole is due weeks later, with covers on and sails away."""
    first, last = about.wanted
    wanted = out or first + timedelta(days=round(rng.betavariate(1.6, 1.9) * (last - first).days))
    wanted -= timedelta(days=max(0, wanted.weekday() - 4))
    owner_covers, washed = rng.random() < about.by_owner, drawn.has_mast and rng.random() < about.washed
    options = {"winter_cover": not owner_covers, "wash_sails": washed}
    return Wish(
        boat=drawn.index,
        package="autumn_lay_up",
        options=frozenset(key for key, chosen in options.items() if chosen),
        earliest=max(ORDERED_ON, wanted - timedelta(days=about.earlier_days)),
        wanted=wanted,
        latest=wanted + timedelta(days=about.later_days),
        promised=wanted + timedelta(weeks=about.due_weeks),
        not_by_us=() if drawn.has_mast else NO_MAST,
        why_not="" if drawn.has_mast else "she has no mast",
        made_on=ORDERED_ON,
    )


def _finish(orders: Sequence[Order], out: Mapping[int, date], wishes: Sequence[Wish], pen: Pen) -> None:
    """Lay-ups of boats that are out are done, all of them."""
    day = {order.pk: out[wish.boat] for order, wish in zip(orders, [w for w in wishes if w.boat in out], strict=True)
           if wish.boat is not None}  # fmt: skip
    jobs = list(Job.objects.filter(order__in=orders).exclude(state=Job.State.CANCELLED))
    for job in jobs:
        job.state, job.actual_ends_at = Job.State.DONE, pen.moment(day[job.order_id], COMES_OUT_AT)
    for order in orders:
        order.state = Order.State.DONE
    at = pen.moment(max(day.values(), default=ORDERED_ON), COMES_OUT_AT)
    pen.update(jobs, ["state", "actual_ends_at"], at)
    pen.update(orders, ["state"], at)
