"""span: a job lasts as long as it takes, and pauses only where it may."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.planning.rules.conftest import Planner
from tests.planning.tiny import JO, at, broken_rules, changed, crew, job, person, plan, put, span, way, yard
from yard.planning.problem import Pin, Problem

RULE = "span"

# Jo does not work from 08:30 to 09:00 on day 0.
WITH_BREAK = (span(0, "08:00", "08:30"), span(0, "09:00", "10:00"), span(1, "08:00", "10:00"))
JO_ALONE = (person("Jo", hours=WITH_BREAK),)


def work(pausing: str, quarters: int = 4) -> Problem:
    people = crew(1) if pausing == "paused" else ()
    return yard(job("work", way(quarters, crew=people), pausing=pausing), people=JO_ALONE)


BENCH = plan(put(0, 1, 7, [JO]))  # 08:15, (break), 09:00, 09:15, 09:30
TRIVIAL = (work("fitted", 1), plan(put(0, 3, 4)))
KEPT = (work("paused"), BENCH)
BREAKS = {
    "shorter than it takes": (work("paused"), changed(BENCH, 0, ends_at=6)),
    "longer than it takes": (work("paused"), changed(BENCH, 0, ends_at=8)),
    "begins in the break": (work("paused"), plan(put(0, 2, 8, [JO]))),
    "ends in the break": (work("paused", 2), plan(put(0, 0, 3, [JO]))),
    "in one stretch, but not of a day": (work("fitted"), plan(put(0, 6, 10))),
    "a quarter short": (work("fitted"), plan(put(0, 0, 3))),
    "drying stops at night": (work("elapsed", 96), plan(put(0, 0, 16))),  # a whole day: over at 08:00 on day 1
    "dry too soon": (work("elapsed", 97), plan(put(0, 0, 8))),
    "before the calendar": (work("fitted"), plan(put(0, -1, 3))),
    "after the calendar": (work("fitted"), plan(put(0, 13, 17))),
    "backwards": (work("fitted"), plan(put(0, 4, 0))),
}


def test_trivial() -> None:
    """One quarter is one quarter."""
    assert broken_rules(*TRIVIAL) == set()


def test_kept() -> None:
    assert broken_rules(*KEPT) == set()


@pytest.mark.parametrize("name", BREAKS)
def test_broken(name: str) -> None:
    assert broken_rules(*BREAKS[name]) == {RULE}


def test_dry_in_the_night_is_dry_in_the_morning() -> None:
    """Ten hours from 09:00 are over at 19:00: the axis goes on at day 1, 08:00."""
    assert broken_rules(work("elapsed", 40), plan(put(0, 4, 8))) == set()
    assert broken_rules(work("elapsed", 97), plan(put(0, 0, 9))) == set()


def test_a_started_job_takes_what_it_takes() -> None:
    problem = replace(work("fitted"), pins=(Pin(job=0, way=0, starts_at=0, ends_at=6),))
    assert broken_rules(problem, plan(put(0, 0, 6))) == set()


def test_bench_work_ends_after_the_break(planner: Planner) -> None:
    """Six quarters are all that Jo has on day 0: the job begins at 08:00, or it ends a day late."""
    assert planner(work("paused", 6)) == plan(put(0, 0, 8, [JO]))


def test_bench_work_of_two_counts_the_hours_of_both(planner: Planner) -> None:
    """Ann works from 08:15: both are there for five quarters of day 0, and due then."""
    ann = person("Ann", "sew", hours=[span(0, "08:15", "10:00")])
    both = way(5, crew=(*crew(1), *crew(1, skill="sew")))
    problem = yard(job("work", both, pausing="paused"), people=(*JO_ALONE, ann))
    assert planner(problem) == plan(put(0, 1, 8, [0, 1]))


def test_drying_goes_on_at_night(planner: Planner) -> None:
    """97 quarters from 08:15 are a day and a quarter: over at 08:30 on day 1 (position 10)."""
    problem = work("elapsed", 97)
    started = replace(problem.jobs[0], not_before=at(0, "08:15"), not_after=at(0, "08:15"))
    assert planner(replace(problem, jobs=(started,))) == plan(put(0, 1, 10))
