"""hours: people work inside their own hours, away from breaks, leave and holidays."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.planning.rules.conftest import Planner
from tests.planning.tiny import broken_rules, changed, crew, job, moved, person, plan, put, span, way, yard
from yard.planning.check import faults
from yard.planning.problem import Minutes, Problem, Slide, Waiver

RULE = "hours"

# Jo works from 08:00 to 08:45 and from 09:00 to 10:00: four quarters in one stretch fit at 09:00 alone (position 4).
WITH_BREAK = (span(0, "08:00", "08:45"), span(0, "09:00", "10:00"))


def jo(*hours: Minutes, pausing: str = "fitted", slides: bool = False, **facts: object) -> Problem:
    people = (person("Jo", hours=hours or WITH_BREAK, **facts),)
    return yard(job("sew", way(4, crew=crew(1), slides=slides), pausing=pausing), people=people)


TRIVIAL = (yard(job("dry", 4)), plan(put(0, 2, 6)))
KEPT = (jo(), plan(put(0, 4, 8, [0])))
PAUSED = plan(put(0, 1, 6, [0]))  # 08:15, 08:30, (break), 09:00, 09:15
FAR = Slide(early_min=60, late_min=60, days_per_week=5, span_min=120)
BREAKS = {
    "across the break": (jo(), moved(KEPT[1], 0, -2)),
    "past the end of her day": (jo(span(0, "08:00", "09:45")), KEPT[1]),
    "before her day begins": (jo(span(0, "09:05", "10:00")), KEPT[1]),
    "on leave": (jo(away=(span(0, "09:20", "09:25"),)), KEPT[1]),
    "on leave at a counted quarter of bench work": (jo(pausing="paused", away=(span(0, "09:00", "09:15"),)), PAUSED),
    "a day slides only for work that may": (jo(span(0, "08:00", "09:45"), slide=FAR), KEPT[1]),
    "a break stays a break": (jo(slides=True, slide=FAR), moved(KEPT[1], 0, -2)),
    "a day off does not slide": (jo(span(0, "08:00", "10:00"), slides=True, slide=FAR), moved(KEPT[1], 0, 4)),
}


def test_trivial() -> None:
    """A job without people has no hours to keep."""
    assert broken_rules(*TRIVIAL) == set()


def test_kept() -> None:
    assert broken_rules(*KEPT) == set()


@pytest.mark.parametrize("name", BREAKS)
def test_broken(name: str) -> None:
    assert broken_rules(*BREAKS[name]) == {RULE}


def test_leave_inside_a_pause_does_not_matter() -> None:
    problem = jo(pausing="paused", away=(span(0, "08:45", "09:00"),))
    assert broken_rules(problem, PAUSED) == set()


def test_four_quarters_fit_after_the_break_alone(planner: Planner) -> None:
    assert planner(jo()).by_job()[0].starts_at == 4


def test_bench_work_pauses_over_the_break(planner: Planner) -> None:
    """Seven quarters of work are all that Jo has: 08:00 to 10:00 with the break."""
    people = (person("Jo", hours=WITH_BREAK),)
    problem = yard(job("sew", way(7, crew=crew(1)), pausing="paused"), people=people)
    assert planner(problem) == plan(put(0, 0, 8, [0]))


def test_a_waiver_excuses_it() -> None:
    problem = replace(jo(), waivers=(Waiver(rule="hours", job=0, reason="Jo offered", by="Ada"),))
    broken = moved(KEPT[1], 0, -2)
    assert broken_rules(problem, broken) == {"hours"}
    assert faults(problem, broken) == ()
    assert faults(jo(), changed(broken, 0)) != ()
