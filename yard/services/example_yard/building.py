"""Build the example yard from nothing, all of it or nothing."""

from __future__ import annotations

import random
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Literal
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.db import transaction

from yard.models import Boat, Job, Order, Person, PlaceKind, Plan, YardSettings
from yard.planning.plan import Infeasible, OutOfTime, Planned
from yard.planning.progress import Rounds
from yard.planning.solve import solve
from yard.services.example_yard.autumn import write_autumn
from yard.services.example_yard.autumn_care import write_autumn_care
from yard.services.example_yard.boats import write_boats, write_last_years_gauge, write_winter
from yard.services.example_yard.canvas import write_canvas
from yard.services.example_yard.care import write_care
from yard.services.example_yard.description import PACKAGES, Description, Size, read_description
from yard.services.example_yard.fleet import Fleet, draw_fleet
from yard.services.example_yard.ground import write_ground
from yard.services.example_yard.load import LoadBook, YardLoad, load_of, settle
from yard.services.example_yard.ordering import settle_facts, write_orders
from yard.services.example_yard.past_seasons import write_past_seasons
from yard.services.example_yard.pen import Pen
from yard.services.example_yard.spring import live_through, write_places_of_boats, write_work
from yard.services.example_yard.spring_facts import write_facts, write_gale, write_gauge
from yard.services.example_yard.story import write_story
from yard.services.example_yard.tellings import write_tellings
from yard.services.example_yard.wiping import take_away
from yard.services.example_yard.wishes import Wish, WishDrawer
from yard.services.facts_revision import bump_facts
from yard.services.new_boat import bring_in_sheets
from yard.services.package_files import PackageFile
from yard.services.package_folder import read_folder
from yard.services.packages import load_packages
from yard.services.read_problem import read_problem
from yard.services.save_plan import Making, post_plan, save_plan

Day = Literal["may", "winter", "october"]
WINTER, MAY, OCTOBER = date(2027, 1, 14), date(2027, 5, 6), date(2027, 10, 7)
"""All are Thursdays; the yard's clock stands at ten in the morning."""
ENTERED = date(2026, 11, 8)
ROUNDS: dict[Size, int] = {"S": 300_000, "M": 60_000, "L": 600_000}
"""Of the search for January's plan: some twenty seconds on one core for M; more would keep a few more dates."""


class ExampleNotPlanned(Exception):
    """The plan that the example's spring follows was not found."""


@dataclass(frozen=True)
class Built:
    """What was made, in numbers."""

    boats: int
    orders: int
    jobs: int
    people: int
    load: YardLoad


@dataclass(frozen=True)
class Drawn:
    """A yard as it is drawn from its seed, before a row is written."""

    about: Description
    size: Size
    fleet: Fleet
    wishes: tuple[Wish, ...]
    load: YardLoad
    rng: random.Random
    pen: Pen

    def clock(self, day: date) -> datetime:
        return self.pen.moment(day, time(10))


def draw(size: Size, seed: int, by: User | None = None) -> Drawn:
    """The same yard for the same size and seed."""
    about = read_description()
    rng = random.Random(f"{size}-{seed}")
    packages = _packages()
    fleet = draw_fleet(about, size, rng)
    drawer = WishDrawer(about, size, fleet, packages, rng)
    book = LoadBook(about, size, packages)
    wishes = settle(about, book, drawer.all(), drawer.one_more, rng)
    pen = Pen(by, ZoneInfo(about.yard.yard.time_zone), uuid.uuid5(uuid.NAMESPACE_DNS, f"{size}-{seed}.example.org"))
    return Drawn(about, size, fleet, tuple(wishes), load_of(book, wishes), rng, pen)


def _packages() -> Mapping[str, PackageFile]:
    return {file.package.key: file for file in read_folder(PACKAGES, PlaceKind.values).packages}


@transaction.atomic
def write_january(drawn: Drawn) -> list[Boat]:
    """The yard in the middle of January, nothing done yet. An example that is here already is taken away.

    Raises ExampleRefused for a yard that is not an example.
    """
    take_away()
    pen = drawn.pen
    entered, clock = pen.moment(ENTERED, time(9)), drawn.clock(WINTER)
    bump_facts()
    load_packages(PACKAGES, now=entered)
    write_ground(drawn.about, drawn.size, drawn.fleet, pen, at=entered, clock=clock)
    boats = write_boats(drawn.about, drawn.size, drawn.fleet, pen, at=entered)
    write_winter(drawn.fleet, boats, drawn.wishes, drawn.rng, pen)
    write_last_years_gauge(boats, drawn.fleet, drawn.rng, pen)
    write_orders([wish for wish in drawn.wishes if wish.made_on < WINTER], boats, pen)
    settle_facts(drawn.size, drawn.rng, pen, clock)
    return boats


@transaction.atomic
def write_october(drawn: Drawn) -> list[Boat]:
    """The yard early in October, nothing planned: last spring done, some boats in the store, the others to come.

    An example that is here already is taken away. Raises ExampleRefused for a yard that is not an example.
    """
    take_away()
    pen = drawn.pen
    entered, clock = pen.moment(ENTERED, time(9)), drawn.clock(OCTOBER)
    bump_facts()
    load_packages(PACKAGES, now=entered)
    write_ground(drawn.about, drawn.size, drawn.fleet, pen, at=entered, clock=clock)
    boats = write_boats(drawn.about, drawn.size, drawn.fleet, pen, at=entered)
    write_autumn(drawn.size, drawn.fleet, boats, drawn.wishes, drawn.rng, pen, clock)
    write_autumn_care(clock, pen)
    return boats


def build_example(
    size: Size, seed: int, day: Day = "winter", *, by: User | None = None, rounds: int | None = None, past: bool = False
) -> Built:
    """Make the example yard of this size: in January ("winter"), in May with the weeks before lived through, or in
    October with last spring done and nothing planned.

    past: with two seasons before, closed, and an options sheet; they change nothing of the season in hand.
    rounds: how long the January plan is searched; the same size, seed and rounds give the same rows.
    Raises ExampleRefused for a yard that is not an example; ExampleNotPlanned where January has no plan.
    """
    drawn = draw(size, seed, by)
    boats = write_october(drawn) if day == "october" else write_january(drawn)
    if past:
        write_past_seasons(drawn.about.past, drawn.pen)
    if day == "winter":
        write_canvas(drawn.about.canvas, drawn.clock(WINTER), drawn.pen)
        write_care(drawn.clock(WINTER), drawn.pen)
    elif day == "may":
        plan = plan_january(drawn, seed, ROUNDS[size] if rounds is None else rounds)
        write_may(drawn, boats, plan)
    if past:
        bring_in_sheets(by=drawn.pen.by, now=drawn.clock(WINTER))
    return Built(Boat.objects.count(), Order.objects.count(), Job.objects.count(), Person.objects.count(), drawn.load)


def plan_january(drawn: Drawn, seed: int, rounds: int) -> Plan:
    """The plan on the wall since January. Raises ExampleNotPlanned."""
    now = drawn.clock(WINTER)
    read = read_problem(now=now)
    match solve(read.problem, stop=Rounds(rounds), seed=seed, workers=1):
        case Planned() as planned:
            plan = save_plan(read, planned, Making(by=drawn.pen.by, now=now, seed=seed, note="made in January"))
            return post_plan(plan, by=drawn.pen.by, now=now)
        case Infeasible(reasons=reasons):
            raise ExampleNotPlanned("The example's January has no plan: " + "; ".join(reasons))
        case OutOfTime():
            raise ExampleNotPlanned("No plan was found for the example's January: give it more rounds.")


@transaction.atomic
def write_may(drawn: Drawn, boats: list[Boat], plan: Plan) -> None:
    """Live through the plan until the yard's clock stands in May."""
    bump_facts()
    pen, now = drawn.pen, drawn.clock(MAY)
    rng = random.Random(f"{drawn.size} {pen.space} spring")
    lived = live_through(plan, now, rng)
    write_work(lived, rng, pen)
    write_places_of_boats(plan, lived, pen)
    write_facts(lived, rng, pen)
    write_orders([wish for wish in drawn.wishes if wish.made_on >= WINTER], boats, pen)
    write_gauge(now, rng, pen)
    write_gale(now, pen)
    write_tellings(plan, now, pen)
    write_story(plan, now, pen)
    write_canvas(drawn.about.canvas, now, pen)
    write_care(now, pen)
    yard = YardSettings.objects.get(pk=1)
    yard.clock_frozen_at = now
    pen.update([yard], ["clock_frozen_at"], now)
