"""places: a unit of a place holds one job at a time."""

from __future__ import annotations

import pytest

from tests.planning.rules.conftest import Planner
from tests.planning.tiny import broken_rules, changed, job, moved, place, plan, put, way, yard
from yard.planning.problem import Pin, PlaceNeed, Problem

RULE = "places"

FLOOR, LINES, YARD_END = 0, 1, 2
PLACES = (place("Floor"), place("Lines", 2), place("Yard end"))


def two(
    first: int = 2, second: int = 2, *, extra: int = 0, needs: tuple[PlaceNeed | int, ...] = (FLOOR,), **facts: object
) -> Problem:
    one = job("cut", way(first, places=needs, place_extra_quarters=extra))
    return yard(one, job("sew", way(second, places=needs), boat=1, order=1), **{"places": PLACES, **facts})


TWO_LINES = (PlaceNeed(any_of=(LINES, YARD_END), units=2),)
TRIVIAL = (yard(job("cut", 2)), plan(put(0, 0, 2)))
KEPT = (two(), plan(put(0, 0, 2, (), [(FLOOR, 0)]), put(1, 2, 4, (), [(FLOOR, 0)])))
ON_LINES = plan(put(0, 0, 2, (), [(LINES, 0), (LINES, 1)]), put(1, 2, 4, (), [(LINES, 0), (LINES, 1)]))
BREAKS = {
    "both on the floor": (two(), moved(KEPT[1], 1, -1)),
    "held for the weather": (two(extra=1), KEPT[1]),
    "no such unit": (two(), changed(KEPT[1], 1, places=((FLOOR, 1),))),
    "elsewhere": (two(), changed(KEPT[1], 1, places=((LINES, 0),))),
    "nowhere": (two(), changed(KEPT[1], 1, places=())),
    "one unit for two": (two(needs=TWO_LINES), changed(ON_LINES, 1, places=((LINES, 0), (LINES, 0)))),
    "in two places": (two(needs=TWO_LINES), changed(ON_LINES, 1, places=((LINES, 0), (YARD_END, 0)))),
}


def test_trivial() -> None:
    """A job that needs no place."""
    assert broken_rules(*TRIVIAL) == set()


def test_kept() -> None:
    assert broken_rules(*KEPT) == set()


@pytest.mark.parametrize("name", BREAKS)
def test_broken(name: str) -> None:
    assert broken_rules(*BREAKS[name]) == {RULE}


def test_the_weathers_share_ends_with_the_day() -> None:
    """The first job ends with the day, so its place is free in the morning."""
    late = plan(put(0, 6, 8, (), [(FLOOR, 0)]), put(1, 8, 10, (), [(FLOOR, 0)]))
    assert broken_rules(two(extra=4), late) == set()


def test_one_after_the_other(planner: Planner) -> None:
    found = planner(two(4, 4)).by_job()
    assert sorted(row.starts_at for row in found.values()) == [0, 4]


def test_the_floor_stays_taken_for_the_weather(planner: Planner) -> None:
    """3 + 2 of weather + 4 is more than the day has, so the other way about: 4, then 3 at 09:00 at the latest."""
    found = planner(two(3, 4, extra=2)).by_job()
    assert found[1].starts_at + 4 <= found[0].starts_at


def test_units_of_one_place(planner: Planner) -> None:
    found = planner(two(4, 4, needs=TWO_LINES)).by_job()
    assert sorted(row.starts_at for row in found.values()) == [0, 4]
    assert all(sorted(row.places) == [(LINES, 0), (LINES, 1)] for row in found.values())


def test_a_pin_later_on_holds_its_own_unit(planner: Planner) -> None:
    """Pins hold line 0 from 08:45 and line 1 until 08:45: a job of six quarters finds no one line that day."""
    jobs = [job(f"dry {n}", way(q, places=(LINES,)), boat=n, order=n) for n, q in enumerate((5, 3, 6))]
    pins = (
        Pin(job=0, way=0, starts_at=3, ends_at=8, places=((LINES, 0),)),
        Pin(job=1, way=0, starts_at=0, ends_at=3, places=((LINES, 1),)),
    )
    problem = yard(*jobs, places=PLACES, pins=pins)
    assert planner(problem).by_job()[2].starts_at >= 8
