"""closed: a closed place is not used."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.planning.rules.conftest import Planner
from tests.planning.tiny import broken_rules, job, moved, place, plan, put, span, way, yard
from yard.planning.problem import PlaceNeed, Problem

RULE = "closed"


def ramp(quarters: int = 3, *, starts: str = "08:30", ends: str = "09:00", pausing: str = "fitted") -> Problem:
    places = (place("Ramp", closed=(span(0, starts, ends),)),)
    return yard(job("haul", way(quarters, places=(0,)), pausing=pausing), places=places)


TRIVIAL = (yard(job("haul", way(3, places=(0,))), places=(place("Ramp"),)), plan(put(0, 0, 3, (), [(0, 0)])))
KEPT = (ramp(), plan(put(0, 4, 7, (), [(0, 0)])))
BREAKS = {
    "runs into it": (ramp(), moved(KEPT[1], 0, -4)),
    "begins before it is over": (ramp(), moved(KEPT[1], 0, -1)),
    "closed for a minute": (ramp(starts="09:31", ends="09:32"), KEPT[1]),
    "drying there meanwhile": (ramp(6, pausing="elapsed"), plan(put(0, 0, 6, (), [(0, 0)]))),
}


def test_trivial() -> None:
    """A place that never closes."""
    assert broken_rules(*TRIVIAL) == set()


def test_kept() -> None:
    assert broken_rules(*KEPT) == set()


@pytest.mark.parametrize("name", BREAKS)
def test_broken(name: str) -> None:
    assert broken_rules(*BREAKS[name]) == {RULE}


def test_five_quarters_fit_after_it_alone(planner: Planner) -> None:
    """Closed from 08:30 to 08:45: two quarters before it and five after."""
    assert planner(ramp(5, ends="08:45")).by_job()[0].starts_at == 3


def test_three_quarters_fit_between_two_closures_alone(planner: Planner) -> None:
    """Closed until 08:30 and from 09:15 on: 08:30 it is."""
    shut = tuple(span(day, *hours) for day in (0, 1) for hours in (("08:00", "08:30"), ("09:15", "10:00")))
    problem = replace(ramp(), places=(place("Ramp", closed=shut),))
    assert planner(problem).by_job()[0].starts_at in (2, 10)


def test_the_other_ramp_is_open(planner: Planner) -> None:
    places = (place("Ramp", closed=(span(0, "08:30", "09:30"),)), place("Slip", closed=(span(0, "08:00", "08:15"),)))
    problem = yard(job("haul", way(6, places=(PlaceNeed(any_of=(0, 1)),))), places=places)
    found = planner(problem).by_job()[0]
    assert found.places == ((1, 0),)
    assert found.starts_at in (1, 2)
