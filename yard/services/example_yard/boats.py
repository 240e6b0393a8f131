"""The example yard's boats as rows: with owners, moorings, things, and where each stands in winter."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from datetime import date, datetime, time, timedelta

from yard.models import (
    Boat,
    BoatOwner,
    GaugeReading,
    Item,
    ItemWhereabouts,
    Mooring,
    Owner,
    Place,
    TacklePart,
    Whereabouts,
    YardSettings,
)
from yard.services.example_yard.description import Description, Size
from yard.services.example_yard.fleet import IN_THE_STORE, DrawnBoat, Fleet
from yard.services.example_yard.pen import Pen
from yard.services.example_yard.wishes import Wish
from yard.services.read_problem import tide_at

LAID_UP = date(2026, 11, 6)
LAST_YEAR = date(2026, 5, 4)
FLOATED_READ = 0.10
SAIL_NUMBERS_FROM = 100
"""The share of boats whose gauge was read last spring when they floated."""


def write_boats(about: Description, size: Size, fleet: Fleet, pen: Pen, *, at: datetime) -> list[Boat]:
    """Boats, owners and moorings; the rows of the fleet in its own order."""
    boats = pen.insert([_boat(drawn) for drawn in fleet.boats], at)
    owners = pen.insert(
        [
            Owner(
                name=row.name,
                phone=row.phone,
                email=row.email,
                prefers=row.prefers if row.email or row.prefers != "email" else "call",
            )
            for row in fleet.owners
        ],
        at,
    )
    pen.insert(
        [
            BoatOwner(
                boat=boats[index],
                owner=owner,
                starts_on=date(2019 + (index * 5) % 7, 3, 1),
                told_first=True,
                insurance_expires_on=date(2027, 3 + index % 9, 1),
            )
            for owner, row in zip(owners, fleet.owners, strict=True)
            for index in row.boats
        ],
        at,
    )
    moorings = _moorings(fleet, boats)
    pen.insert(moorings, at)
    pen.insert([part for number, row in enumerate(moorings, start=1) for part in _tackle(number, row)], at)
    return boats


def _boat(drawn: DrawnBoat) -> Boat:
    return Boat(
        ref=drawn.ref,
        name=drawn.name,
        kind=drawn.design.kind,
        design=drawn.design.design,
        sail_number=f"{SAIL_NUMBERS_FROM + drawn.index}" if drawn.has_mast else "",
        length_m=drawn.length_m,
        beam_m=drawn.beam_m,
        draft_m=drawn.draft_m,
        displacement_kg=drawn.displacement_kg,
        mast_height_m=drawn.design.mast_height_m,
        planked=drawn.design.planked,
        in_a_storm=drawn.in_a_storm,
    )


def _moorings(fleet: Fleet, boats: Sequence[Boat]) -> list[Mooring]:
    return [
        Mooring(
            ref=row.ref,
            latitude=row.latitude,
            longitude=row.longitude,
            depth_m_at_datum=row.depth_m,
            route_shoalest_m_at_datum=row.shoalest_m,
            tackle_inspected_on=date(2025, 5, 1 + number % 28),
            tackle_inspection_due_on=date(2027, 5, 1 + number % 28),
            chain_spread_m=row.chain_m,
            pendant_m=row.pendant_m,
            permit_boat=boats[row.boat] if row.boat is not None else None,
            permit_number=f"{2027 if row.permit_renewed else 2026}-{number:03d}",
            permit_expires_on=date(2027 if row.permit_renewed else 2026, 12, 31),
            temporary=row.boat is None,
        )
        for number, row in enumerate(fleet.moorings, start=1)
    ]


def _tackle(number: int, mooring: Mooring) -> list[TacklePart]:
    """From the ground up; a pendant in nine is worn out."""
    laid = {"mooring": mooring, "inspected_on": mooring.tackle_inspected_on}
    worn = TacklePart.Condition.REPLACE if number % 9 == 0 else TacklePart.Condition.GOOD
    return [
        TacklePart(kind="anchor", size="300 lb mushroom", laid_on=date(2017 + number % 5, 4, 20), **laid),
        TacklePart(kind="top_chain", size="3/8 in", length_m=mooring.chain_spread_m, laid_on=date(2023, 4, 20), **laid),
        TacklePart(
            kind="pendant",
            size="3/4 in",
            length_m=mooring.pendant_m,
            laid_on=date(2024, 4, 20),
            condition=worn,
            **laid,
        ),
    ]


def write_winter(
    fleet: Fleet,
    boats: Sequence[Boat],
    wishes: Sequence[Wish],
    rng: random.Random,
    pen: Pen,
) -> None:
    """Where boats and their things lie since the autumn."""
    since = pen.moment(LAID_UP, time(15))
    apron = Place.objects.get(ref="apron")
    rows = list(Place.objects.filter(kind="store_row").order_by("sequence"))
    stacked = _stacked(fleet, wishes, rng)
    found = [
        Whereabouts(
            boat=boats[index],
            kind=Whereabouts.Kind.STORE_ROW,
            place=rows[number % len(rows)],
            position=number // len(rows) + 1,
            since=since,
        )
        for number, index in enumerate(stacked)
    ]
    for drawn, boat in zip(fleet.boats, boats, strict=True):
        if drawn.kept == "new":
            found.append(Whereabouts(boat=boat, kind=Whereabouts.Kind.APRON, place=apron, since=since))
        elif drawn.kept not in IN_THE_STORE:
            found.append(Whereabouts(boat=boat, kind=Whereabouts.Kind.AWAY, since=since))
    pen.insert(found, since)
    _write_things(fleet, boats, since, pen)


def _stacked(fleet: Fleet, wishes: Sequence[Wish], rng: random.Random) -> list[int]:
    """Boats in the order in which the rows were filled, side by side: those wanted last stand innermost.

    A few owners changed their minds afterwards.
    """
    wanted: Mapping[int | None, date | None] = {
        wish.boat: wish.wanted for wish in wishes if wish.package == "spring_commissioning"
    }
    stored = [drawn.index for drawn in fleet.boats if drawn.kept in IN_THE_STORE]
    last = date(2027, 12, 31)
    guessed = {
        index: (wanted.get(index) or last) + timedelta(days=rng.randint(-3, 3) if rng.random() < 0.95 else -12)
        for index in stored
    }
    return sorted(stored, key=lambda index: (guessed[index], index), reverse=True)


def _write_things(fleet: Fleet, boats: Sequence[Boat], since: datetime, pen: Pen) -> None:
    racks, store = Place.objects.get(ref="spar-racks"), Place.objects.get(ref="sail-store")
    items: list[Item] = []
    places: list[Place | None] = []
    for drawn, boat in zip(fleet.boats, boats, strict=True):
        if drawn.has_mast:
            area = round(drawn.length_m * 2.9, 1)
            if drawn.kept in IN_THE_STORE:
                items.append(Item(boat=boat, kind=Item.Kind.MAST, name="mast"))
                places.append(racks)
            items.append(
                Item(boat=boat, kind=Item.Kind.SAIL, name="mainsail", bag_tag=f"S{drawn.index:03d}", area_m2=area)
            )
            places.append(store if drawn.kept in IN_THE_STORE else None)
        if drawn.kept in IN_THE_STORE:
            items.append(Item(boat=boat, kind=Item.Kind.CRADLE, name="cradle"))
            items.append(Item(boat=boat, kind=Item.Kind.KEYS, name="keys"))
            places += [None, None]
    pen.insert(items, since)
    pen.insert(
        [
            ItemWhereabouts(
                item=item,
                kind=ItemWhereabouts.Kind.PLACE if place else ItemWhereabouts.Kind.OWNER,
                place=place,
                condition=ItemWhereabouts.Condition.DRY if item.kind == Item.Kind.SAIL else "",
                since=since,
            )
            for item, place in zip(items, places, strict=True)
            if place is not None or item.kind == Item.Kind.SAIL
        ],
        since,
    )


def write_last_years_gauge(boats: Sequence[Boat], fleet: Fleet, rng: random.Random, pen: Pen) -> None:
    """For some boats the gauge at the moment they floated last May: on a rising tide, within inches of the formula."""
    yard = YardSettings.objects.get(pk=1)
    tide = tide_at(yard, "ramp")
    floor = (yard.ramp_toe_m_above_datum or 0.0) + (yard.trailer_height_m or 0.0)
    readings = []
    for drawn, boat in zip(fleet.boats, boats, strict=True):
        if drawn.kept != "commissioned" or drawn.draft_m is None or rng.random() > FLOATED_READ:
            continue
        day = LAST_YEAR + timedelta(days=rng.randint(0, 24))
        level = floor + drawn.draft_m
        [windows] = tide.windows(pen.moment(day, time(6)), pen.moment(day, time(19)), [level])
        rising = [window.starts_at for window in windows if not window.opens_before]
        if rising:
            at = rising[0].replace(second=0, microsecond=0)
            readings.append(
                GaugeReading(
                    at=at,
                    observed_m_above_datum=round(level + rng.gauss(0.0, 0.03), 2),
                    predicted_m_above_datum=round(level, 2),
                    boat=boat,
                    note="floated off",
                )
            )
    pen.insert(readings, pen.moment(LAST_YEAR, time(12)))
