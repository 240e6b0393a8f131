"""pins: started, finished and pinned jobs stay as they are."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.planning.rules.conftest import Planner
from tests.planning.tiny import (
    ANN,
    JO,
    at,
    broken_rules,
    changed,
    crew,
    job,
    moved,
    person,
    place,
    plan,
    put,
    way,
    yard,
)
from yard.planning.plan import Plan, score
from yard.planning.problem import Link, Pin, Problem

RULE = "pins"

PIN = Pin(job=0, way=0, starts_at=1, ends_at=3, people=(JO,), places=((0, 0),))


def started(*pins: Pin) -> Problem:
    sew = job("sew", way(2, crew=crew(1), places=(0,)), way(2, crew=crew(1), places=(0,)))
    return yard(sew, pins=pins, places=(place("Floor", 2),))


KEPT = (started(PIN), plan(put(0, 1, 3, [JO], [(0, 0)])))
TRIVIAL = (started(), KEPT[1])
BREAKS = {
    "moved": (started(PIN), moved(KEPT[1], 0, 1)),
    "longer": (started(PIN), changed(KEPT[1], 0, ends_at=4)),
    "somebody else": (started(PIN), changed(KEPT[1], 0, people=(ANN,))),
    "somewhere else": (started(PIN), changed(KEPT[1], 0, places=((0, 1),))),
    "another way": (started(PIN), changed(KEPT[1], 0, way=1)),
    "left away": (started(PIN), Plan(placements=())),
}


def test_trivial() -> None:
    """Nothing is pinned."""
    assert broken_rules(*TRIVIAL) == set()


def test_kept() -> None:
    assert broken_rules(*KEPT) == set()


@pytest.mark.parametrize("name", BREAKS)
def test_broken(name: str) -> None:
    assert broken_rules(*BREAKS[name]) == {RULE}


def test_stays_where_it_is(planner: Planner) -> None:
    assert planner(started(PIN)) == KEPT[1]


def test_what_follows_waits_for_the_pinned_end(planner: Planner) -> None:
    """Pinned until 08:45; what follows may start no later than then."""
    other = job("tune", 2, not_after=at(0, "08:45"))
    problem = replace(started(PIN), jobs=(*started().jobs, other), links=(Link(before=0, after=1),))
    assert planner(problem).by_job()[1].starts_at == 3


def test_a_pinned_job_counts_for_its_order(planner: Planner) -> None:
    """Pinned to day 1 and due on day 0: its order is late by a day, whatever else is done when."""
    late = Pin(job=0, way=0, starts_at=9, ends_at=11)
    problem = yard(job("sew", 2), job("tune", 2), pins=(late,))
    found = planner(problem)
    assert found.by_job()[1].starts_at >= 8  # flow costs, so the other job waits for it
    assert score(problem, found).cost == 100


def test_jo_is_taken(planner: Planner) -> None:
    """Jo is at the pinned job from 08:15 to 08:45: her other four quarters begin at 08:45 or later."""
    other = job("tune", way(4, crew=crew(1)), boat=1, order=1)
    problem = yard(*started().jobs, other, pins=(PIN,), places=(place("Floor", 2),), people=(person("Jo"),))
    assert planner(problem).by_job()[1].starts_at in (3, 4)


# A trip: Jo and the truck are away from Monday 09:30 to Tuesday 08:30 (positions 6 to 10), the night between included.
AWAY = Pin(job=0, way=0, starts_at=6, ends_at=10, people=(JO,), places=((0, 0),))


def trip(*pins: Pin) -> Problem:
    out = job("road", way(2, crew=crew(1), places=(0,)))
    other = job("sew", way(2, crew=(crew(1, skill="drive"))), boat=1, order=1)
    people = (person("Jo", "rig", "drive"), person("Ann"))
    return yard(out, other, pins=pins, people=people, places=(place("Truck"),))


TRIP_KEPT = plan(put(0, 6, 10, [JO], [(0, 0)]), put(1, 10, 12, [JO]))


def test_a_trip_is_kept_through_the_night() -> None:
    assert broken_rules(trip(AWAY), TRIP_KEPT) == set()
    assert broken_rules(trip(), plan(put(0, 6, 8, [JO], [(0, 0)]), put(1, 10, 12, [JO]))) == set()


def test_a_trip_is_not_moved_nor_shortened() -> None:
    assert broken_rules(trip(AWAY), changed(TRIP_KEPT, 0, ends_at=8)) == {RULE}
    assert broken_rules(trip(AWAY), moved(changed(TRIP_KEPT, 1, starts_at=12, ends_at=14), 0, 1)) == {RULE}


def test_nobody_of_a_trip_does_other_work_before_they_are_back() -> None:
    assert broken_rules(trip(AWAY), changed(TRIP_KEPT, 1, starts_at=8, ends_at=10)) == {"double_booking"}


def test_other_work_waits_until_the_driver_is_back(planner: Planner) -> None:
    """Only Jo drives: her other work of two quarters is done before she leaves."""
    found = planner(trip(AWAY)).by_job()
    assert (found[0].starts_at, found[0].ends_at) == (6, 10)
    assert found[1].ends_at <= 6 or found[1].starts_at >= 10
