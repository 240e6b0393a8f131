"""Why there is no room, on two days of two hours: each family of rules alone in the way, and two together."""

from __future__ import annotations

from tests.planning.tiny import at, crew, job, person, place, plan, put, span, way, windows, yard
from yard.planning.freed import Freed
from yard.planning.no_room import what_stands
from yard.planning.plan import Plan
from yard.planning.problem import Link, Problem, Stay

JO = (person("Jo"),)
FULL = plan(put(0, 0, 8, people=(0,)), put(1, 8, 16, people=(0,)))  # Jo has no quarter left on either day
TEAL = {"boat": 1, "order": 1}


def stands(problem: Problem, hung: Plan, *free: int) -> str:
    freed = Freed(problem, hung, free)
    assert not freed.room().insert()
    return what_stands(freed)


def test_people() -> None:
    busy = [job("a", way(8, crew=crew(1))), job("b", way(8, crew=crew(1)))]
    problem = yard(*busy, job("rig Teal", way(2, crew=crew(1)), **TEAL), people=JO)
    assert stands(problem, FULL, 2) == "people"


def test_places() -> None:
    problem = yard(
        job("a", way(8, places=(0,))),
        job("b", way(8, places=(0,))),
        job("c", way(2, places=(0,)), **TEAL),
        places=(place("Ramp"),),
    )
    hung = plan(put(0, 0, 8, places=((0, 0),)), put(1, 8, 16, places=((0, 0),)))
    assert stands(problem, hung, 2) == "places"


def test_windows() -> None:
    """Four quarters of water on the second day, for a job of five."""
    problem = yard(
        job("a", 1),
        job("float", way(5, inside=(0,)), **TEAL),
        window_sets=(windows("water", span(1, "08:00", "09:00")),),
    )
    assert stands(problem, plan(put(0, 0, 1)), 1) == "windows"


def test_last_start() -> None:
    problem = yard(job("a", 1), job("b", 2, not_after=at(0, "07:00"), **TEAL))
    assert stands(problem, plan(put(0, 0, 1)), 1) == "last start"


def test_longest_waits() -> None:
    """b must follow a within an hour of Monday 10:00, and may not start before Tuesday."""
    problem = yard(
        job("a", 8, not_after=at(0, "08:00")),
        job("b", 2, not_before=at(1, "08:00")),
        links=(Link(before=0, after=1, max_wait=60),),
    )
    assert stands(problem, plan(put(0, 0, 8)), 1) == "longest waits"


def test_nights() -> None:
    """One berth, and Wren has it in the one night between Teal's launch on Monday and her delivery on Tuesday."""
    problem = yard(
        job("launch Wren", 1),
        job("deliver Wren", 1),
        job("launch Teal", 1, not_after=at(0, "09:45"), **TEAL),
        job("deliver Teal", 1, not_before=at(1, "08:00"), **TEAL),
        links=(Link(before=0, after=1), Link(before=2, after=3)),
        places=(place("Berth"),),
        stays=(Stay(boat=0, any_of=(0,), from_job=0, until_job=1), Stay(boat=1, any_of=(0,), from_job=2, until_job=3)),
    )
    hung = plan(put(0, 0, 1), put(1, 9, 10), stays=((0, 0, 0),))
    assert stands(problem, hung, 2, 3) == "nights"


def test_two_together() -> None:
    """Jo has no time and the one place is taken: neither alone would help."""
    problem = yard(
        job("a", way(8, crew=crew(1), places=(0,))),
        job("b", way(8, crew=crew(1), places=(0,))),
        job("c", way(2, crew=crew(1), places=(0,)), **TEAL),
        people=JO,
        places=(place("Ramp"),),
    )
    hung = plan(put(0, 0, 8, people=(0,), places=((0, 0),)), put(1, 8, 16, people=(0,), places=((0, 0),)))
    assert stands(problem, hung, 2) == "several"
