"""What would bring a late boat back: each way on a yard of two short days where the answer is worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings

from tests.planning.small import problems
from tests.planning.tiny import at, calendar, crew, every_day, job, person, plan, put, span, way, windows, yard
from yard.planning.check import faults
from yard.planning.fit import last_days
from yard.planning.listing import list_plan
from yard.planning.plan import LeftOut, Plan
from yard.planning.problem import Link, Order, Problem
from yard.planning.second_look import look_again
from yard.planning.units import CannotExpress
from yard.planning.ways_back import WayBack, stand, ways_back
from yard.planning.ways_back.trying import Search

LONG_S = 60.0


def kinds(found: tuple[WayBack, ...]) -> dict[str, WayBack]:
    return {one.kind: one for one in found}


def two_boats(**facts: object) -> tuple[Problem, Plan]:
    """Wren and Teal each want Jo for all of a day; both are due on day 0, and Teal has it."""
    jobs = (
        job("rig Wren", way(8, crew=crew(1))),
        replace(job("rig Teal", way(8, crew=crew(1))), boat=1, order=1),
    )
    problem = yard(*jobs, **{"people": (person("Jo"),), **facts})
    return problem, plan(put(0, 8, 16, people=(0,)), put(1, 0, 8, people=(0,)))


def test_one_more_pair_of_hands_on_the_one_day() -> None:
    problem, posted = two_boats()
    found = kinds(ways_back(problem, posted, 0, within_s=LONG_S))
    assert (found["hands"].gains_days, found["hands"].on_time, found["hands"].days) == (1, True, (0,))
    assert found["hands"].says == "one more pair of hands for rig on day 0"


def test_another_boat_later_if_her_owner_agrees() -> None:
    problem, posted = two_boats(
        orders=(Order(key="o0", name="Order 0", due_day=0), Order(key="o1", name="Order 1", due_day=1))
    )
    way_back = kinds(ways_back(problem, posted, 0, within_s=LONG_S))["boat"]
    assert way_back.boats == ((1, 1, True),)
    assert way_back.says == "Teal 1 working day later, if her owner agrees"


def test_a_boat_on_time_needs_no_way_back() -> None:
    problem, posted = two_boats()
    assert ways_back(problem, posted, 1) == ()


def test_planned_once_more_needs_nobody() -> None:
    problem = yard(job("rig Wren", way(2, crew=crew(1))))
    found = ways_back(problem, plan(put(0, 8, 10, people=(0,))), 0, within_s=LONG_S)
    assert [(one.kind, one.gains_days, one.on_time) for one in found] == [("again", 1, True)]


def test_cloth_one_day_sooner_and_not_two() -> None:
    problem = yard(
        job("sew", way(2, crew=crew(1)), not_before=at(2, "08:00"), waits_on=("cloth",)),
        calendar=calendar(3),
        people=(person("Jo", hours=every_day(days=3)),),
        orders=(Order(key="o0", name="Order 0", due_day=1),),
    )
    (found,) = ways_back(problem, plan(put(0, 16, 18, people=(0,))), 0, within_s=LONG_S)
    assert (found.kind, found.days, found.sooner_days, found.on_time) == ("date", (1,), 1, True)
    assert found.says == "cloth here by day 1, 1 working day sooner"


def test_a_tide_after_hours() -> None:
    """The water of day 0 comes at 09:30, half an hour after Jo goes home; that of day 1 is in hours."""
    short = (span(0, "08:00", "09:30"), span(1, "08:00", "10:00"))
    problem = yard(
        job("launch", way(2, crew=crew(1), inside=(0,))),
        people=(person("Jo", hours=short),),
        window_sets=(windows("water", span(0, "09:30", "10:00"), span(1, "08:00", "09:00")),),
    )
    found = kinds(ways_back(problem, plan(put(0, 8, 10, people=(0,))), 0, within_s=LONG_S))
    assert (found["hours"].minutes, found["hours"].people, found["hours"].days) == (30, (0,), (0,))
    assert found["hours"].says == "Jo 30 min after hours on day 0"


def test_a_saturday() -> None:
    """Friday is taken by Teal, Monday is a day late; on Saturday nobody works now."""
    friday, monday = 8 * 60, 3 * 24 * 60 + 8 * 60
    hours = (span(0, "08:00", "10:00"), span(3, "08:00", "10:00"))
    problem, posted = two_boats(
        calendar=calendar(2, day_starts=(friday, monday), day_names=("2027-05-07", "2027-05-10"), weeks=(0, 1)),
        people=(person("Jo", hours=hours),),
        orders=(Order(key="o0", name="Order 0", due_day=0), Order(key="o1", name="Order 1", due_day=0)),
    )
    found = kinds(ways_back(problem, posted, 0, within_s=LONG_S))
    assert "day" not in found  # Saturday comes after her day all the same: she would be as many working days late
    later = replace(problem, orders=(Order(key="o0", name="Order 0", due_day=-1), problem.orders[1]))
    assert "day" not in kinds(ways_back(later, posted, 0, within_s=LONG_S))


def test_a_saturday_before_her_day() -> None:
    """Due on Monday; Friday and Monday are Teal's, so Tuesday is late and Saturday is not."""
    starts = tuple(day * 24 * 60 + 8 * 60 for day in (0, 3, 4))
    hours = tuple((start, start + 120) for start in starts)
    problem = yard(
        job("rig Wren", way(8, crew=crew(1))),
        replace(job("rig Teal", way(8, crew=crew(1))), boat=1, order=1),
        replace(job("tune Teal", way(8, crew=crew(1))), boat=1, order=1),
        calendar=calendar(3, day_starts=starts, day_names=("2027-05-07", "2027-05-10", "2027-05-11"), weeks=(0, 1, 1)),
        people=(person("Jo", hours=hours),),
        orders=(Order(key="o0", name="Order 0", due_day=1), Order(key="o1", name="Order 1", due_day=1)),
    )
    posted = plan(put(0, 16, 24, people=(0,)), put(1, 0, 8, people=(0,)), put(2, 8, 16, people=(0,)))
    found = kinds(ways_back(problem, posted, 0, within_s=LONG_S))["day"]
    assert (found.says, found.on_time, found.people) == ("Jo at work on Sat 8 May", True, (0,))


def test_a_boat_left_out_is_brought_back() -> None:
    problem, posted = two_boats()
    left = Plan(placements=posted.placements[1:], left_out=(LeftOut(boat=0, rule="hours", job=0, reason="-"),))
    found = ways_back(replace(problem, orders=tuple(replace(o, due_day=0) for o in problem.orders)), left, 0)
    assert found


def test_nothing_is_tried_after_the_time() -> None:
    problem, posted = two_boats()
    assert ways_back(problem, posted, 0, within_s=0.0) == ()


@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(problem=problems())
def test_each_way_is_planned_and_holds(problem: Problem) -> None:
    try:
        posted = list_plan(problem)
    except CannotExpress:
        return
    for boat in range(len(problem.boats)):
        for standing in (None, stand(problem, posted)):  # everybody else pinned; the season as it stands
            search = Search(problem, posted, boat, float("inf"), standing)
            if not search.open or not search.days_late(search.before):
                continue
            for found, tried in search.found():
                assert faults(tried.problem, tried.plan) == ()
                assert found.gains_days > 0
                assert found.says
                assert tried.last == last_days(tried.problem, tried.plan)


@pytest.mark.parametrize(("quarters", "said"), [(8, "possible"), (9, "impossible")])
def test_impossible_is_said_by_the_second_method(quarters: int, said: str) -> None:
    assert look_again(yard(job("rig", way(quarters, crew=crew(1))))).said == said


def test_impossible_for_waits_that_the_first_method_may_miss() -> None:
    problem = yard(
        job("wash", way(1, crew=crew(1))),
        job("dry", way(1, crew=crew(1))),
        links=(Link(before=0, after=1, min_wait=30, max_wait=20),),
    )
    assert look_again(problem).said == "impossible"
