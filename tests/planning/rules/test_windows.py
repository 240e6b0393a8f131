"""windows: a stretch of a job lies inside her water, the light, a dry day."""

from __future__ import annotations

import pytest

from tests.planning.rules.conftest import Planner
from tests.planning.tiny import broken_rules, job, moved, plan, put, span, way, windows, yard
from yard.planning.check import faults
from yard.planning.problem import Inside, Minutes, Pin, Problem, Waiver

RULE = "windows"

# Water from 08:20 to 09:20: three quarters fit at 08:30 alone (position 2).
WATER = span(0, "08:20", "09:20")
FLOATS = Inside(window_set=0, offset_quarters=2, length_quarters=1)  # only the third quarter needs the water


def launch(*intervals: Minutes, inside: Inside | int = 0, rule: str = "water", **facts: object) -> Problem:
    return yard(job("launch", way(3, inside=(inside,))), window_sets=(windows(rule, *intervals or (WATER,)),), **facts)


TRIVIAL = (yard(job("launch", 3)), plan(put(0, 0, 3)))
KEPT = (launch(), plan(put(0, 2, 5)))
BREAKS = {
    "before there is water": (launch(), moved(KEPT[1], 0, -1)),
    "after it is gone": (launch(), moved(KEPT[1], 0, 1)),
    "on a day without": (launch(), moved(KEPT[1], 0, 8)),
    "half in each of two": (launch(span(0, "08:15", "08:45"), span(0, "08:45", "09:30")), KEPT[1]),
    "floats too soon": (launch(span(0, "09:05", "09:20"), inside=FLOATS), KEPT[1]),
}


def test_trivial() -> None:
    """A job that asks for no window."""
    assert broken_rules(*TRIVIAL) == set()


def test_kept() -> None:
    assert broken_rules(*KEPT) == set()


@pytest.mark.parametrize("name", BREAKS)
def test_broken(name: str) -> None:
    assert broken_rules(*BREAKS[name]) == {RULE}


def test_only_what_floats_needs_water() -> None:
    assert broken_rules(launch(span(0, "09:00", "09:15"), inside=FLOATS), KEPT[1]) == set()


def test_launched_inside_her_water(planner: Planner) -> None:
    assert planner(launch()).by_job()[0].starts_at == 2


def test_floated_inside_her_water(planner: Planner) -> None:
    """The third quarter must be 09:30 to 09:45 (position 6), so she is loaded from 09:00."""
    assert planner(launch(span(0, "09:25", "09:50"), inside=FLOATS)).by_job()[0].starts_at == 4


@pytest.mark.parametrize(("rule", "excused"), [("wind", True), ("water", False), ("manual", False), ("permit", False)])
def test_who_may_waive_what(rule: str, excused: bool) -> None:
    """The yard may waive its own limit of wind; nobody waives water below her draft."""
    problem = launch(rule=rule, waivers=(Waiver(rule="windows", job=0, reason="flat calm", by="Ada"),))
    assert (faults(problem, moved(KEPT[1], 0, -1)) == ()) == excused


def test_a_pinned_job_is_a_fact() -> None:
    problem = launch(pins=(Pin(job=0, way=0, starts_at=0, ends_at=3),))
    assert broken_rules(problem, plan(put(0, 0, 3))) == set()
