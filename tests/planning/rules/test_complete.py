"""complete: every job of a boat is planned once, or the whole boat is left out."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.planning.rules.conftest import Planner
from tests.planning.tiny import broken_rules, changed, job, place, plan, put, way, yard
from yard.planning.plan import LeftOut, Plan
from yard.planning.problem import Pin

RULE = "complete"

TWO = yard(job("wash", 2), job("paint", 2))
OUT = (LeftOut(boat=0, rule="windows", job=1, reason="no water"),)
PINNED = yard(job("wash", 2), job("paint", 2), pins=(Pin(job=0, way=0, starts_at=0, ends_at=2),))

TRIVIAL = (yard(job("wash", 2)), plan(put(0, 0, 2)))
KEPT = (TWO, plan(put(0, 0, 2), put(1, 2, 4)))
BREAKS = {
    "one job missing": (TWO, plan(put(0, 0, 2))),
    "nothing planned": (TWO, Plan(placements=())),
    "planned twice": (TWO, plan(put(0, 0, 2), put(0, 2, 4), put(1, 4, 6))),
    "half left out": (TWO, plan(put(0, 0, 2), left_out=OUT)),
    "no such job": (TWO, plan(put(0, 0, 2), put(1, 2, 4), put(2, 4, 6))),
    "no such boat": (TWO, replace(KEPT[1], left_out=(replace(OUT[0], boat=7),))),
    "no such way": (TWO, changed(KEPT[1], 0, way=1)),
    "no such person": (TWO, changed(KEPT[1], 0, people=(-1,))),
    "no such place": (TWO, changed(KEPT[1], 0, places=((3, 0),))),
}


def test_trivial() -> None:
    """One job, planned."""
    assert broken_rules(*TRIVIAL) == set()


def test_kept() -> None:
    assert broken_rules(*KEPT) == set()


@pytest.mark.parametrize("name", BREAKS)
def test_broken(name: str) -> None:
    assert broken_rules(*BREAKS[name]) == {RULE}


def test_a_boat_left_out_is_no_breach() -> None:
    assert broken_rules(TWO, Plan(placements=(), left_out=OUT)) == set()


def test_a_started_job_of_a_boat_left_out_stays() -> None:
    assert broken_rules(PINNED, plan(put(0, 0, 2), left_out=OUT)) == set()


def test_every_job_is_planned(planner: Planner) -> None:
    floor = (place("Floor"),)
    jobs = [job(f"cut {number}", way(4, places=(0,))) for number in range(4)]
    found = planner(yard(*jobs, places=floor))
    assert sorted(row.starts_at for row in found.placements) == [0, 4, 8, 12]
