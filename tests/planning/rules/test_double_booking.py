"""double_booking: nobody is in two places at once."""

from __future__ import annotations

import pytest

from tests.planning.rules.conftest import Planner
from tests.planning.tiny import broken_rules, crew, job, moved, person, plan, put, span, way, yard
from yard.planning.check import check, faults
from yard.planning.problem import Pin, Problem

RULE = "double_booking"

JO = (person("Jo"),)


def two(quarters: int = 2, **facts: object) -> Problem:
    second = job("tune", way(quarters, crew=crew(1)), boat=1, order=1)
    return yard(job("step", way(quarters, crew=crew(1))), second, people=JO, **facts)


# Ann does not work from 08:30 to 09:00, so bench work of both pauses then, and Jo waits for her.
ANN_BREAKS = (person("Jo"), person("Ann", "sew", hours=[span(0, "08:00", "08:30"), span(0, "09:00", "10:00")]))
PAUSING = yard(
    job("sail", way(4, crew=(*crew(1), *crew(1, skill="sew"))), pausing="paused"),
    job("tune", way(2, crew=crew(1)), boat=1, order=1),
    people=ANN_BREAKS,
)
PINNED = two(pins=(Pin(job=0, way=0, starts_at=1, ends_at=4, people=(0,)),))

TRIVIAL = (yard(job("step", way(2, crew=crew(1))), people=JO), plan(put(0, 0, 2, [0])))
KEPT = (two(), plan(put(0, 0, 2, [0]), put(1, 2, 4, [0])))
BREAKS = {
    "by a quarter": (two(), moved(KEPT[1], 1, -1)),
    "at the same time": (two(), moved(KEPT[1], 1, -2)),
    "in the pause of bench work": (PAUSING, plan(put(0, 0, 6, [0, 1]), put(1, 2, 4, [0]))),
    "with a pinned job": (PINNED, plan(put(0, 1, 4, [0]), put(1, 3, 5, [0]))),
}


def test_trivial() -> None:
    """One job, one person."""
    assert broken_rules(*TRIVIAL) == set()


def test_kept() -> None:
    assert broken_rules(*KEPT) == set()


@pytest.mark.parametrize("name", BREAKS)
def test_broken(name: str) -> None:
    assert broken_rules(*BREAKS[name]) == {RULE}


def test_jo_does_one_after_the_other(planner: Planner) -> None:
    """Two jobs of four quarters, both due on a day of eight: one at 08:00, one at 09:00."""
    found = planner(two(4)).by_job()
    assert sorted(row.starts_at for row in found.values()) == [0, 4]


def test_a_pause_is_not_free(planner: Planner) -> None:
    """The sail takes both from some start to its end; Jo's two quarters come before or after, never between."""
    found = planner(PAUSING).by_job()
    assert found[1].ends_at <= found[0].starts_at or found[0].ends_at <= found[1].starts_at


def test_two_pins_at_once_are_told_and_blamed_on_no_plan() -> None:
    pins = tuple(Pin(job=number, way=0, starts_at=0, ends_at=2, people=(0,)) for number in (0, 1))
    problem, both = two(pins=pins), plan(put(0, 0, 2, [0]), put(1, 0, 2, [0]))
    (breach,) = check(problem, both)
    assert (breach.rule, breach.pins_alone, breach.waivable) == ("double_booking", True, False)
    assert faults(problem, both) == ()
