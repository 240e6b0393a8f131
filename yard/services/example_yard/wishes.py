"""What the example yard's owners ordered, by when, and which facts are still missing."""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from yard.models import Boat, Fact, Order, Package, Season
from yard.services.example_yard.ground import YEAR
from yard.services.facts_revision import bump_facts
from yard.services.order_package import OrderDates, Terms, WalkIn, default_options, order_package

ORDERED_AT = datetime(YEAR, 1, 11, 15, tzinfo=UTC)
# Wanted dates clump before two holidays.
HOLIDAYS = (date(YEAR, 5, 28), date(YEAR, 7, 2))
EXTRA = ("canvas_order", "cushions", "furler", "halyard", "sail_repair", "mooring_tackle")


@dataclass(frozen=True)
class Wish:
    package: str
    wanted: date
    goes_first: int


def write_orders(boats: list[Boat], rng: random.Random) -> int:
    """Spring commissioning for nearly every boat, and about as many other orders as half of the fleet."""
    packages = {package.key: package for package in Package.objects.prefetch_related("options")}
    season = Season.objects.get()
    count = 0
    for boat in boats:
        wishes = [_commissioning(rng)] if rng.random() < 0.9 else []
        if rng.random() < 0.45:
            wishes.append(_extra(rng, wishes[0].wanted if wishes else HOLIDAYS[0]))
        for wish in wishes:
            _order(boat, packages[wish.package], wish, season, rng)
            count += 1
    count += _fixed_and_walk_ins(boats, packages, season, rng)
    _settle_facts(rng)
    return count


def _commissioning(rng: random.Random) -> Wish:
    if rng.random() < 0.35:
        wanted = rng.choice(HOLIDAYS) - timedelta(days=rng.randrange(6))
    else:
        wanted = date(YEAR, 4, 16) + timedelta(days=int(75 * rng.random() ** 0.9))
    return Wish("spring_commissioning", wanted, rng.choices([1, 2, 3], [0.7, 0.2, 0.1])[0])


def _extra(rng: random.Random, wanted: date) -> Wish:
    return Wish(rng.choice(EXTRA), max(date(YEAR, 4, 15), wanted + timedelta(days=rng.randrange(0, 14))), 1)


def _order(boat: Boat, package: Package, wish: Wish, season: Season, rng: random.Random) -> Order:
    earliest = max(date(YEAR, 1, 18), wish.wanted - timedelta(days=rng.randrange(35, 75)))
    options = set(default_options(package, boat))
    if rng.random() < 0.2 and package.key == "spring_commissioning":
        options ^= {"second_coat"}
    return order_package(
        boat,
        package,
        options=options,
        dates=OrderDates(
            earliest=earliest,
            wanted=wish.wanted,
            latest=wish.wanted + timedelta(days=14),
            promised=wish.wanted if rng.random() < 0.6 else None,
        ),
        by=None,
        now=ORDERED_AT,
        terms=Terms(season=season, goes_first=wish.goes_first),
    )


def _fixed_and_walk_ins(boats: list[Boat], packages: dict[str, Package], season: Season, rng: random.Random) -> int:
    """One new boat with a road date that does not move, and two sails brought in by people without a boat on file."""
    order_package(
        boats[-1],
        packages["new_boat_delivery"],
        options=default_options(packages["new_boat_delivery"], boats[-1]),
        dates=OrderDates(
            earliest=date(YEAR, 4, 1),
            promised=date(YEAR, 6, 16),
            fixed_delivery_at=datetime(YEAR, 6, 16, 12, tzinfo=UTC),
        ),
        by=None,
        now=ORDERED_AT,
        terms=Terms(season=season, goes_first=3),
    )
    for number in range(2):
        order_package(
            None,
            packages["sail_repair"],
            options=(),
            dates=OrderDates(wanted=date(YEAR, 5, 14) + timedelta(days=7 * number)),
            by=None,
            now=ORDERED_AT,
            terms=Terms(
                season=season,
                walk_in=WalkIn(name=rng.choice(["J. Lark", "A. Moss"]), phone="555-0199", bag_tag=f"W{number + 1}"),
            ),
        )
    return 3


def _settle_facts(rng: random.Random) -> None:
    """Most facts are here or promised for a day; a few are late guesses, and a few nobody knows."""
    bump_facts()
    changed = []
    for fact in Fact.objects.select_related("boat", "order__boat").order_by("id"):
        if fact.kind == "draft":
            continue
        draw = rng.random()
        if draw < 0.55:
            fact.state, fact.expected_date, fact.guess = Fact.State.HERE, None, False
        elif draw < 0.97:
            day = fact.expected_date or date(YEAR, 3, 15)
            fact.state, fact.expected_date = Fact.State.EXPECTED, min(day, date(YEAR, 4, 20))
            fact.guess = rng.random() < 0.5
            fact.told_by = "" if fact.guess else "the owner"
        else:
            fact.state, fact.expected_date, fact.guess = Fact.State.UNKNOWN, None, False
        changed.append(fact)
    Fact.objects.bulk_update(changed, ["state", "expected_date", "guess", "told_by"], batch_size=500)
