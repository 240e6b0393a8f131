"""Made-up autumns: boats come in from their moorings, are hauled on a tide, washed at once and winterised.

    autumn("M", 1)             66 boats that a yard of 100 hauls, over twelve weeks from 1 September
    autumn("M", 1, freeze=...) the last day of winterising binds ("binds"), costs ("costs"), or there is none ("none")

The generator's own tide, light, lost days, people and leave (season_generator.py, which stays as it is), with boats,
jobs and dates of an autumn: durations are of the shipped lay-up package; some owners put on covers, a share of
the sails is washed. Boats of one row of the store are hauled in the order in which they are to stand, by the room that
fills it (yard.stowing). `kept` looks at an autumn's own rules anew: the wash, the last day and the rows, from the plan
and the season alone. All of it is invented.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any, Literal

from tests import season_generator as generator
from tests.seasons import DRY, EPOCH, LIGHT, OPENS_MIN, PER_DAY, _dry_days, _light, _person, _water
from yard.planning.plan import Plan
from yard.planning.problem import (
    Boat,
    Calendar,
    Crew,
    Inside,
    Job,
    Link,
    Order,
    Place,
    PlaceNeed,
    Problem,
    Stay,
    Way,
    WindowSet,
)
from yard.stowing.planning import stow
from yard.stowing.values import Boat as Stowed
from yard.stowing.values import NoRoom, Row, Store

Freeze = Literal["binds", "costs", "none"]
Season = dict[str, Any]
START_DAY_OF_YEAR = 244  # 1 September
WASH_WITHIN_MIN = 120
DAYS = {"S": 38, "M": 58, "L": 66}  # working days; as many after them for covers and sails
BOATS = {"S": 25, "M": 66, "L": 100}  # of M and L two thirds are hauled, as two thirds are launched in spring
BERTHS = {"S": 3, "M": 6, "L": 10}
FREEZE_SHARE = 1.04  # the last day of winterising lies so far into the season
ROW_TAKES = 6
COVERED, WASHED = 0.45, 0.35
PLACES = ("ramp", "gin pole", "wash deck", "drying line", "loft floor", "workboat", "berth", "row")
RAMP, POLE, DECK, LINE, LOFT, WORKBOAT, BERTH = range(7)


@dataclass(frozen=True)
class Autumn:
    """The Problem, and what `kept` judges it by: jobs by boat and name, rows from the wall outward, the last day."""

    problem: Problem
    jobs: tuple[dict[str, int], ...]
    rows: tuple[tuple[int, ...], ...]
    last_day: int | None


def autumn(size: str, seed: int, *, freeze: Freeze = "binds") -> Autumn:
    """The same season for the same size and seed. A row of the store that finds no filling leaves its boats free."""
    rng = random.Random(f"autumn-{size}-{seed}")
    season = _ground(size, seed)
    starts = tuple(day * 1440 + OPENS_MIN for day in season["calendar"])
    days = DAYS[size]
    last_day = None if freeze == "none" else round(days * FREEZE_SHARE)
    sets: list[WindowSet] = [_dry_days(season, starts), _light(season, starts)]
    fleet = [_Boat(rng, days) for _ in range(BOATS[size])]
    rows = _stowed(fleet, days)
    book = _Book(season, starts, sets)
    for number, boat in enumerate(fleet):
        book.add(number, boat, last_day if freeze == "binds" else None)
    orders, jobs = _orders(fleet, book, last_day if freeze == "costs" else None)
    for row in rows:
        book.in_turn(row)
    places = [
        Place(key=name, name=name, capacity=units)
        for name, units in zip(PLACES, (1, 1, 1, 6, 1, 1, BERTHS[size]), strict=False)
    ]
    problem = Problem(
        calendar=Calendar(epoch=EPOCH, quarters_per_day=PER_DAY, day_starts=starts),
        people=tuple(_person(person, starts) for person in season["people"]),
        places=tuple(places),
        window_sets=tuple(sets),
        boats=tuple(Boat(key=f"boat {number}", name=f"boat {number}") for number in range(len(fleet))),
        orders=orders,
        jobs=jobs,
        links=tuple(book.links),
        stays=tuple(book.stays),
    )
    return Autumn(problem, tuple(book.named), rows, last_day)


def _ground(size: str, seed: int) -> Season:
    """The generator's people, leave and tide of that size, with more lost days and the days of autumn."""
    season = generator.season(size, seed=seed)
    rng = random.Random(f"autumn-ground-{size}-{seed}")
    horizon = DAYS[size] * 2 + 20
    calendar = [day for day in range(horizon * 2) if day % 7 < 5][:horizon]
    lost = [day for day in range(horizon) if rng.random() < 0.16]
    return season | {
        "calendar": calendar,
        "horizon_days": horizon,
        "lost_days": lost,
        "start_day_of_year": START_DAY_OF_YEAR,
    }


class _Boat:
    """Drawn: when she may come, is wanted and was launched, her water, and what is ordered beside the haul."""

    def __init__(self, rng: random.Random, days: int) -> None:
        wanted = round(rng.betavariate(1.7, 1.6) * (days - 6)) + 3
        self.wanted, self.first = wanted, max(0, wanted - rng.randint(4, 12))
        self.last = min(days, wanted + rng.randint(4, 10))
        self.due = wanted + rng.randint(20, 30)
        self.goes_first = rng.choices([1, 2, 3], [0.7, 0.2, 0.1])[0]
        self.length_m = round(rng.uniform(5.5, 10.5), 1)
        self.leaves = float(rng.randint(200, 270))
        self.covered, self.washed = rng.random() < COVERED, rng.random() < WASHED
        low, high = rng.choices([(-0.3, 0.4), (0.4, 0.8), (0.8, 1.0)], [0.5, 0.4, 0.1])[0]
        self.needs_m = round(rng.uniform(low, high), 2)


def _stowed(fleet: list[_Boat], days: int) -> tuple[tuple[int, ...], ...]:
    count = -(-len(fleet) // ROW_TAKES) + 1
    store = Store(
        rows=tuple(Row(name=f"row {n}", most=ROW_TAKES, length_m=ROW_TAKES * 9.0) for n in range(count)),
        boats=tuple(
            Stowed(
                name=f"boat {n}",
                length_m=boat.length_m,
                comes=(boat.first, boat.last),
                wanted=boat.wanted,
                leaves=boat.leaves,
            )
            for n, boat in enumerate(fleet)
        ),
        most_a_day=max(3, len(fleet) // days + 2),
        aside=3,
        gap_m=0.6,
    )
    found = stow(store, rounds=500, runs=1)
    return () if isinstance(found, NoRoom) else found.plan.layout


class _Book:
    """Jobs and links as boats are added. named: of each boat, her jobs by name."""

    def __init__(self, season: Season, starts: tuple[int, ...], sets: list[WindowSet]) -> None:
        self.season, self.starts, self.sets = season, starts, sets
        self.water: dict[float, int] = {}
        self.jobs: list[Job] = []
        self.links: list[Link] = []
        self.stays: list[Stay] = []
        self.named: list[dict[str, int]] = []

    def add(self, number: int, boat: _Boat, last_day: int | None) -> None:
        self.named.append({})
        water, light = self._water(boat.needs_m - 0.35), (DRY, LIGHT)
        self._job(number, "collect", 6, (("hand", 2),), WORKBOAT, (*light, water), not_before=boat.first)
        self._job(number, "unbend", 5, (("sailmaker", 1),), None, light, after="collect")
        self._job(number, "unstep", 6, (("rigger", 1), ("hand", 2)), POLE, light, after="unbend")
        self._job(number, "haul", 6, (("operator", 1), ("hand", 1)), RAMP, light, floats=self._water(boat.needs_m),
                  after="unstep")  # fmt: skip
        self._job(number, "wash", 5, (("hand", 1),), DECK, light, after="haul", within=WASH_WITHIN_MIN)
        self._job(number, "winterise", 8, (("hand", 1),), None, light, after="wash", last_day=last_day)
        if boat.covered:
            self._job(number, "frame", 10, (("hand", 2),), None, light, after="winterise")
            self._job(number, "cover", 8, (("hand", 2),), None, light, after="frame")
        if boat.washed:
            self._job(number, "wash sails", 10, (("sailmaker", 1),), DECK, (), after="unbend")
            self._job(number, "dry", 64, (), LINE, (), after="wash sails", within=60, pausing="paused")
            self._job(number, "inspect", 4, (("sailmaker", 1),), LOFT, (), after="dry")
        named = self.named[number]
        self.stays.append(Stay(boat=number, any_of=(BERTH,), from_job=named["collect"], until_job=named["haul"]))

    def in_turn(self, row: tuple[int, ...]) -> None:
        """Who stands farther in is hauled first."""
        for inner, outer in pairwise(row):
            before, after = self.named[inner]["haul"], self.named[outer]["haul"]
            self.links.append(Link(before=before, after=after, reason="stands farther in"))

    def _water(self, height_m: float) -> int:
        if height_m not in self.water:
            self.water[height_m] = len(self.sets)
            self.sets.append(_water(self.season, self.starts, height_m))
        return self.water[height_m]

    def _job(
        self,
        boat: int,
        name: str,
        quarters: int,
        crew: tuple[tuple[str, int], ...],
        place: int | None,
        inside: tuple[int, ...],
        *,
        floats: int | None = None,
        after: str = "",
        within: int | None = None,
        not_before: int | None = None,
        last_day: int | None = None,
        pausing: Literal["fitted", "paused"] = "fitted",
    ) -> None:
        # Trailer down, float on, draw up and chock: only the half hour in the middle needs her water.
        afloat = () if floats is None else (Inside(window_set=floats, offset_quarters=1, length_quarters=2),)
        way = Way(
            duration_quarters=quarters,
            crew=tuple(Crew(skill=skill, count=count) for skill, count in crew),
            places=() if place is None else (PlaceNeed(any_of=(place,)),),
            inside=(*(Inside(window_set=each) for each in inside), *afloat),
        )
        self.named[boat][name] = len(self.jobs)
        self.jobs.append(
            Job(
                key=f"{boat}.{name}",
                name=name,
                boat=boat,
                order=boat,
                ways=(way,),
                pausing=pausing,
                not_before=None if not_before is None else self.starts[not_before],
                not_after=None if last_day is None else self.starts[last_day] + PER_DAY * 15,
                needs_boat=name not in ("wash sails", "dry", "inspect"),
            )
        )
        if after:
            link = Link(before=self.named[boat][after], after=len(self.jobs) - 1, max_wait=within)
            self.links.append(link)


def _orders(fleet: list[_Boat], book: _Book, wish: int | None) -> tuple[tuple[Order, ...], tuple[Job, ...]]:
    """A lay-up each; where the last day costs, winterising is a unit of lateness of its own."""
    orders = [
        Order(key=f"order {n}", name="lay-up", due_day=boat.due, goes_first=boat.goes_first)
        for n, boat in enumerate(fleet)
    ]
    jobs = list(book.jobs)
    if wish is not None:
        for number, boat in enumerate(fleet):
            at = book.named[number]["winterise"]
            jobs[at] = replace(jobs[at], order=len(orders))
            orders.append(
                Order(key=f"freeze {number}", name="before it freezes", due_day=wish, goes_first=boat.goes_first)
            )
    return tuple(orders), tuple(jobs)


def kept(season: Autumn, plan: Plan, *, freeze: Freeze = "binds") -> list[str]:
    """What a plan breaks of an autumn's own rules, looked at anew: nothing of the planner's check is used."""
    return [*_washed(season, plan), *_frozen(season, plan, freeze), *_out_of_turn(season, plan)]


def _clock(season: Autumn, position: int) -> int:
    day, quarter = divmod(position, PER_DAY)
    return season.problem.calendar.day_starts[day] + 15 * quarter


def _washed(season: Autumn, plan: Plan) -> Iterator[str]:
    at = plan.by_job()
    for boat, jobs in enumerate(season.jobs):
        if jobs["haul"] in at and jobs["wash"] in at:
            ends = _clock(season, at[jobs["haul"]].ends_at - 1) + 15
            waits = _clock(season, at[jobs["wash"]].starts_at) - ends
            if not 0 <= waits <= WASH_WITHIN_MIN:
                yield f"boat {boat} waits {waits} min for her wash"


def _frozen(season: Autumn, plan: Plan, freeze: Freeze) -> Iterator[str]:
    if season.last_day is None or freeze != "binds":
        return
    for boat, jobs in enumerate(season.jobs):
        placed = plan.by_job().get(jobs["winterise"])
        if placed is not None and (placed.ends_at - 1) // PER_DAY > season.last_day:
            yield f"boat {boat} is winterised on day {(placed.ends_at - 1) // PER_DAY}, the last is {season.last_day}"


def _out_of_turn(season: Autumn, plan: Plan) -> Iterator[str]:
    at = plan.by_job()
    for row in season.rows:
        hauls = [(boat, at[season.jobs[boat]["haul"]]) for boat in row if season.jobs[boat]["haul"] in at]
        for (inner, first), (outer, second) in pairwise(hauls):
            if second.starts_at < first.ends_at:
                yield f"boat {outer} is hauled before boat {inner}, who stands behind her"
