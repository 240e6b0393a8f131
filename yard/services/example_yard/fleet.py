"""The example yard's boats: shapes, owners, moorings, and where each stands in the store."""

from __future__ import annotations

import random
from datetime import UTC, date, datetime, timedelta
from typing import Any

from yard.models import Boat, BoatOwner, Item, ItemWhereabouts, Mooring, Order, Owner, Place, Whereabouts
from yard.services.example_yard.ground import YEAR, Size

# Draft and share of the fleet, metres: shoal, middling and deep; the deep ones miss neaps at this ramp.
DRAFTS = ((0.35, 0.75, 0.45), (0.75, 1.1, 0.35), (1.1, 1.45, 0.2))
UNKNOWN_DRAFTS = 0.03
HAULED_AT = datetime(YEAR - 1, 11, 15, 15, tzinfo=UTC)


def write_fleet(told: dict[str, Any], size: Size, rng: random.Random) -> list[Boat]:
    """Boats with owners, moorings and inventory, standing in the rows of the store."""
    names = _names(told, size.boats)
    racks, store = Place.objects.get(ref="spar-racks"), Place.objects.get(ref="sail-store")
    owners = [Owner.objects.create(name=name, phone=f"555-01{i:02d}") for i, name in enumerate(told["names"]["owners"])]
    boats = []
    for number, name in enumerate(names):
        boat = _boat(number, name, rng)
        boats.append(boat)
        BoatOwner.objects.create(boat=boat, owner=rng.choice(owners), starts_on=date(YEAR - 3, 1, 1), told_first=True)
        _mooring(number, boat, rng)
        mast = Item.objects.create(boat=boat, kind=Item.Kind.MAST, name="mast")
        sails = Item.objects.create(boat=boat, kind=Item.Kind.SAIL, name="main and jib", bag_tag=f"T{number + 1:03d}")
        ItemWhereabouts.objects.create(item=mast, kind=ItemWhereabouts.Kind.PLACE, place=racks, since=HAULED_AT)
        ItemWhereabouts.objects.create(item=sails, kind=ItemWhereabouts.Kind.PLACE, place=store, since=HAULED_AT)
    return boats


def write_store(boats: list[Boat], rng: random.Random) -> None:
    """Each row holds boats as a yard stacks them: who goes first stands outermost, as far as autumn knew."""
    rows = list(Place.objects.filter(kind="store_row").order_by("sequence"))
    wanted = {
        order.boat_id: order.wanted_date
        for order in Order.objects.filter(package__key="spring_commissioning")
        if order.wanted_date
    }

    def guess(boat: Boat) -> date:
        return wanted.get(boat.pk, date(YEAR, 7, 20)) + timedelta(days=rng.randrange(-7, 8))

    latest_first = sorted(boats, key=guess, reverse=True)
    for number, boat in enumerate(latest_first):
        Whereabouts.objects.create(
            boat=boat,
            kind=Whereabouts.Kind.STORE_ROW,
            place=rows[number % len(rows)],
            position=number // len(rows) + 1,
            since=HAULED_AT,
        )


def _names(told: dict[str, Any], count: int) -> list[str]:
    plain = list(told["names"]["boats"])
    paired = [f"{first} {name}" for first in told["names"]["first"] for name in told["names"]["boats"]]
    return (plain + paired)[:count]


def _boat(number: int, name: str, rng: random.Random) -> Boat:
    low, high, _ = rng.choices(DRAFTS, weights=[share for _, _, share in DRAFTS])[0]
    length = round(rng.uniform(5.5, 10.5), 1)
    return Boat.objects.create(
        ref=f"b{number + 1:03d}",
        name=name,
        length_m=length,
        beam_m=round(length * 0.31, 2),
        draft_m=None if rng.random() < UNKNOWN_DRAFTS else round(rng.uniform(low, high), 2),
        displacement_kg=round(length**3 * 4.2),
        mast_height_m=round(length * 1.3, 1),
        planked=rng.random() < 0.04,
    )


def _mooring(number: int, boat: Boat, rng: random.Random) -> None:
    route = round(rng.uniform(-0.2, 0.4), 2)
    Mooring.objects.create(
        ref=f"{number + 1}",
        depth_m_at_datum=round(rng.uniform(1.2, 3.0), 1),
        route_shoalest_m_at_datum=route,
        permit_boat=boat,
        permit_number=f"P-{YEAR}-{number + 1:03d}",
        permit_expires_on=date(YEAR, 12, 31) if rng.random() < 0.8 else None,
    )
