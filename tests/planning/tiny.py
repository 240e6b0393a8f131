"""Builders of the smallest yards: two short days, from which each expected value is worked out by hand.

A day is 08:00 to 10:00 UTC, eight quarters; day 0 is Monday 3 May 2027. Position 3 is day 0, 08:45; position 8 is
day 1, 08:00.  Jo and Ann work all of it unless a test says otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from yard.planning.check import check
from yard.planning.plan import Placement, Plan, StayAt
from yard.planning.problem import (
    Boat,
    Calendar,
    Crew,
    Inside,
    Job,
    Minutes,
    Order,
    Person,
    Place,
    PlaceNeed,
    Problem,
    Way,
    WindowSet,
)

QUARTERS = 8
OPENS_MIN = 8 * 60
DAY_MIN = 24 * 60

JO, ANN = 0, 1


def at(day: int, clock: str) -> int:
    """The clock minute of a day and a time of day: at(1, "08:30")."""
    hours, minutes = clock.split(":")
    return day * DAY_MIN + int(hours) * 60 + int(minutes)


def span(day: int, starts: str, ends: str) -> Minutes:
    return at(day, starts), at(day, ends)


def pos(day: int, clock: str) -> int:
    """The axis position of a day and a time of day within 08:00 to 10:00."""
    return day * QUARTERS + (at(0, clock) - OPENS_MIN) // 15


def calendar(days: int = 2, **facts: Any) -> Calendar:
    values: dict[str, Any] = {
        "epoch": "2027-05-03T00:00:00+00:00",
        "quarters_per_day": QUARTERS,
        "day_starts": tuple(OPENS_MIN + DAY_MIN * day for day in range(days)),
        "weeks": tuple(day // 7 for day in range(days)),
    }
    return Calendar(**{**values, **facts})


def every_day(starts: str = "08:00", ends: str = "10:00", days: int = 2) -> tuple[Minutes, ...]:
    return tuple(span(day, starts, ends) for day in range(days))


def person(name: str, *skills: str, hours: Sequence[Minutes] | None = None, **facts: Any) -> Person:
    return Person(
        key=name.lower(),
        name=name,
        skills=dict.fromkeys(skills or ("rig",), 1),
        hours=tuple(every_day() if hours is None else hours),
        **facts,
    )


JO_AND_ANN = (person("Jo"), person("Ann"))


def crew(*counts: int, skill: str = "rig") -> tuple[Crew, ...]:
    return tuple(Crew(skill=skill, count=count) for count in counts)


def way(quarters: int, **facts: Any) -> Way:
    """`places=(0, 1)` is one unit of place 0 and one of place 1; `inside=(0,)` all of it inside window set 0."""
    places = tuple(
        need if isinstance(need, PlaceNeed) else PlaceNeed(any_of=(need,)) for need in facts.pop("places", ())
    )
    inside = tuple(rule if isinstance(rule, Inside) else Inside(window_set=rule) for rule in facts.pop("inside", ()))
    return Way(duration_quarters=quarters, places=places, inside=inside, **facts)


def job(name: str, *ways: Way | int, **facts: Any) -> Job:
    """A job of boat 0 and order 0; a number is a way of that many quarters without people."""
    rows = tuple(row if isinstance(row, Way) else way(row) for row in ways)
    return Job(**{"key": name, "name": name, "boat": 0, "order": 0, "ways": rows, **facts})


def yard(*jobs: Job, **facts: Any) -> Problem:
    """A Problem of these jobs; boats and orders as many as they name, each due on day 0."""
    boats = 1 + max([row.boat for row in jobs] + [stay.boat for stay in facts.get("stays", ())])
    orders = 1 + max(row.order for row in jobs)
    values: dict[str, Any] = {
        "calendar": calendar(),
        "people": JO_AND_ANN,
        "places": (),
        "window_sets": (),
        "boats": tuple(Boat(key=f"b{boat}", name=("Wren", "Teal", "Plover", "Dunlin")[boat]) for boat in range(boats)),
        "orders": tuple(Order(key=f"o{order}", name=f"Order {order}", due_day=0) for order in range(orders)),
        "jobs": jobs,
    }
    return Problem(**{**values, **facts})


def place(name: str, capacity: int = 1, **facts: Any) -> Place:
    return Place(key=name.lower(), name=name, capacity=capacity, **facts)


def windows(rule: str, *intervals: Minutes) -> WindowSet:
    return WindowSet(key=rule, rule=rule, intervals=intervals)


def put(
    job: int,
    starts_at: int,
    ends_at: int,
    people: Iterable[int] = (),
    places: Iterable[tuple[int, int]] = (),
    way: int = 0,
) -> Placement:
    return Placement(job=job, way=way, starts_at=starts_at, ends_at=ends_at, people=tuple(people), places=tuple(places))


def plan(*placements: Placement, stays: Iterable[tuple[int, int, int]] = (), **facts: Any) -> Plan:
    """`stays` as (stay, place, unit)."""
    return Plan(
        placements=placements, stays=tuple(StayAt(stay=row[0], place=row[1], unit=row[2]) for row in stays), **facts
    )


def changed(kept: Plan, job: int, **facts: Any) -> Plan:
    """The plan with one job placed otherwise."""
    return replace(kept, placements=tuple(replace(row, **facts) if row.job == job else row for row in kept.placements))


def moved(kept: Plan, job: int, quarters: int) -> Plan:
    row = kept.by_job()[job]
    return changed(kept, job, starts_at=row.starts_at + quarters, ends_at=row.ends_at + quarters)


def broken_rules(problem: Problem, plan: Plan) -> set[str]:
    return {breach.rule for breach in check(problem, plan)}


def boats_that_want_jo(quarters: int, boats: int = 2, **more: Any) -> Problem:
    """As many boats, each with one job of so many quarters for Jo's hands alone; `more` as for `yard`."""
    jobs = [replace(job(f"rig {boat}", way(quarters, crew=crew(1))), boat=boat, order=boat) for boat in range(boats)]
    return yard(*jobs, people=(person("Jo"),), **more)
