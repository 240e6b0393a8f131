"""boat: a boat is in one place."""

from __future__ import annotations

import pytest

from tests.planning.rules.conftest import Planner
from tests.planning.tiny import broken_rules, job, moved, plan, put, yard
from yard.planning.problem import Pin, Problem

RULE = "boat"


def two(quarters: int = 2, *, second_needs: bool = True, boat: int = 0, **facts: object) -> Problem:
    second = job("step", quarters, boat=boat, needs_boat=second_needs)
    return yard(job("paint", quarters, needs_boat=True), second, **facts)


PINNED = two(pins=(Pin(job=0, way=0, starts_at=0, ends_at=3),))
DRYING = yard(job("dry", 40, needs_boat=True, pausing="elapsed"), job("step", 2, needs_boat=True))

TRIVIAL = (two(second_needs=False), plan(put(0, 0, 2), put(1, 1, 3)))
KEPT = (two(), plan(put(0, 0, 2), put(1, 2, 4)))
BREAKS = {
    "by a quarter": (two(), moved(KEPT[1], 1, -1)),
    "at the same time": (two(), moved(KEPT[1], 1, -2)),
    "while a started job goes on": (PINNED, plan(put(0, 0, 3), put(1, 2, 4))),
    "while she dries": (DRYING, plan(put(0, 0, 8), put(1, 4, 6))),
}


def test_trivial() -> None:
    """Two jobs of which one needs her do not meet."""
    assert broken_rules(*TRIVIAL) == set()


def test_kept() -> None:
    assert broken_rules(*KEPT) == set()


@pytest.mark.parametrize("name", BREAKS)
def test_broken(name: str) -> None:
    assert broken_rules(*BREAKS[name]) == {RULE}


def test_another_boat_may_be_elsewhere() -> None:
    assert broken_rules(two(boat=1), plan(put(0, 0, 2), put(1, 1, 3))) == set()


def test_one_after_the_other(planner: Planner) -> None:
    found = planner(two(4)).by_job()
    assert sorted(row.starts_at for row in found.values()) == [0, 4]
