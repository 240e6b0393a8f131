"""hours: people work inside their own hours, away from breaks, leave and holidays."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.planning.rules.conftest import Planner
from tests.planning.tiny import at, broken_rules, changed, crew, job, moved, person, plan, put, span, way, yard
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


def test_three_quarters_fit_between_two_breaks_alone(planner: Planner) -> None:
    """08:00 to 08:30, 08:45 to 09:30, 09:45 to 10:00: of three stretches only the second is long enough."""
    hours = [span(0, *clock) for clock in (("08:00", "08:30"), ("08:45", "09:30"), ("09:45", "10:00"))]
    problem = yard(job("sew", way(3, crew=crew(1))), people=(person("Jo", hours=hours),))
    assert planner(problem).by_job()[0].starts_at == 3


def test_who_is_not_on_leave_goes(planner: Planner) -> None:
    """Jo is on leave until 09:30, so a job that must start by 08:15 is Ann's."""
    jo = person("Jo", away=(span(0, "08:00", "09:30"),))
    problem = yard(job("sew", way(2, crew=crew(1)), not_after=at(0, "08:15")), people=(jo, person("Ann")))
    assert planner(problem).by_job()[0].people == (1,)


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
