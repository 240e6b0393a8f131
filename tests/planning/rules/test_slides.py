"""slides: a person's day slides for a tide only so far, so long and so often a week."""

from __future__ import annotations

import pytest

from tests.planning.rules.conftest import Planner
from tests.planning.tiny import broken_rules, crew, every_day, job, moved, person, plan, put, span, way, windows, yard
from yard.planning.problem import Pin, Problem, Slide

RULE = "slides"

# Jo's normal day is 08:30 to 09:30 (quarters 2 to 5, an hour); she may begin half an hour early.  The tide is at 08:00.


def tide(
    *, early_min: int = 30, days_per_week: int = 1, second: int = 2, slides: bool = False, pins: tuple[Pin, ...] = ()
) -> Problem:
    slide = Slide(early_min=early_min, late_min=30, days_per_week=days_per_week, span_min=60)
    return yard(
        job("launch", way(2, crew=crew(1), inside=(0,), slides=True)),
        job("tune", way(second, crew=crew(1), slides=slides), boat=1, order=1),
        people=(person("Jo", hours=every_day("08:30", "09:30"), slide=slide),),
        window_sets=(windows("water", span(0, "08:00", "08:30")),),
        pins=pins,
    )


TRIVIAL = (yard(job("sew", way(2, crew=crew(1)))), plan(put(0, 0, 2, [0])))
KEPT = (tide(), plan(put(0, 0, 2, [0]), put(1, 2, 4, [0])))
BREAKS = {
    "too early": (tide(early_min=15), KEPT[1]),
    "too long a day": (tide(), moved(KEPT[1], 1, 2)),  # 08:00 to 09:30
    "not this week": (tide(days_per_week=0), KEPT[1]),
    "twice a week": (tide(slides=True), moved(KEPT[1], 1, 12)),  # day 1, 09:30 to 10:00
    "too late": (tide(slides=True, early_min=0, second=2, pins=()), plan(put(0, 0, 2, [0]), put(1, 10, 12, [0]))),
}


def test_trivial() -> None:
    """Nobody slides where nobody may."""
    assert broken_rules(*TRIVIAL) == set()


def test_kept() -> None:
    assert broken_rules(*KEPT) == set()


@pytest.mark.parametrize("name", BREAKS)
def test_broken(name: str) -> None:
    assert broken_rules(*BREAKS[name]) == {RULE}


def test_her_day_ends_an_hour_after_it_began(planner: Planner) -> None:
    """She slides to 08:00 for the tide, so she is done at 09:00: the second job, due that day, begins at 08:30."""
    assert planner(tide()) == KEPT[1]


def test_the_second_job_waits_for_another_day(planner: Planner) -> None:
    """Three quarters no longer fit beside the launch: 08:00 to 09:15 is more than her hour."""
    found = planner(tide(second=3)).by_job()[1]
    assert found.starts_at // 8 == 1


def test_one_slid_day_a_week(planner: Planner) -> None:
    """With no slide left, a second job of four quarters keeps normal hours on day 1: 08:30."""
    problem = tide(second=4, slides=True)
    assert planner(problem).by_job()[1].starts_at == 10


def test_what_pins_alone_make_long_is_no_fault() -> None:
    """Pinned from 08:00 to 08:30 and from 09:30 to 10:00: no plan can mend it, and 08:30 is no worse."""
    pins = (
        Pin(job=0, way=0, starts_at=0, ends_at=2, people=(0,)),
        Pin(job=1, way=0, starts_at=6, ends_at=8, people=(0,)),
    )
    assert broken_rules(tide(pins=pins), plan(put(0, 0, 2, [0]), put(1, 6, 8, [0]))) == set()
