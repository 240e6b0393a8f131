"""Used of what there is, by week, on a yard of two short days: every figure worked out by hand."""

from __future__ import annotations

from dataclasses import replace

from tests.planning.tiny import calendar, crew, every_day, job, person, place, plan, put, span, way, windows, yard
from yard.planning.capacity import Row, capacity
from yard.planning.plan import StayAt
from yard.planning.problem import PlaceNeed, Stay


def weeks(row: Row) -> list[tuple[int, int]]:
    return [(week.used, week.usable) for week in row.weeks]


def test_hours_of_a_skill_are_those_of_everybody_who_has_it() -> None:
    """Jo and Ann are there 2 h on each of 2 days; Jo alone sews; half an hour is rigged, an hour sewn."""
    jo = replace(person("Jo"), skills={"rig": 1, "sew": 1})
    problem = yard(
        job("rig", way(2, crew=crew(1))), job("sew", way(4, crew=crew(1, skill="sew"))), people=(jo, person("Ann"))
    )
    found = capacity(problem, plan(put(0, 0, 2, people=(1,)), put(1, 2, 6, people=(0,))))
    assert {row.key: weeks(row) for row in found.skills} == {"rig": [(30, 480)], "sew": [(60, 240)]}
    assert weeks(found.everybody) == [(90, 480)]


def test_leave_and_what_is_over_do_not_count() -> None:
    """From 09:00 of day 0 on: one hour that day; all of day 1 is leave."""
    jo = replace(person("Jo"), away=(span(1, "08:00", "10:00"),))
    problem = replace(yard(job("rig", way(2, crew=crew(1))), people=(jo,)), now=4)
    found = capacity(problem, plan(put(0, 3, 5, people=(0,))))
    assert weeks(found.everybody) == [(15, 60)]


def test_two_weeks_stand_apart() -> None:
    problem = yard(
        job("rig", way(2, crew=crew(1))),
        calendar=calendar(2, weeks=(0, 1)),
        people=(person("Jo", hours=every_day(days=2)),),
    )
    found = capacity(problem, plan(put(0, 8, 10, people=(0,))))
    assert weeks(found.everybody) == [(0, 120), (30, 120)]


def test_a_place_is_taken_by_the_unit_and_not_usable_while_it_is_closed() -> None:
    shut = replace(place("deck", 2), closed=(span(1, "08:00", "10:00"),))
    problem = yard(job("wash", way(4, places=(PlaceNeed(any_of=(0,)),))), places=(shut,))
    found = capacity(problem, plan(put(0, 0, 4, places=((0, 0),))))
    assert [weeks(row) for row in found.places] == [[(60, 240)]]


def test_a_night_at_a_berth() -> None:
    """She is launched on day 0 and leaves on day 1: one of two nights of one berth."""
    problem = yard(
        job("launch", way(2)),
        job("leave", way(2)),
        places=(place("berth", 1),),
        stays=(Stay(boat=0, any_of=(0,), from_job=0, until_job=1),),
    )
    planned = replace(plan(put(0, 0, 2), put(1, 8, 10)), stays=(StayAt(stay=0, place=0, unit=0),))
    assert [weeks(row) for row in capacity(problem, planned).berths] == [[(1, 2)]]


def test_tides_for_the_least_and_the_most_water() -> None:
    """Two tides, day 0 and 1; the deep boat has hers on day 1 alone; only the shallow one is planned, on day 0."""
    sets = (
        replace(windows("water", span(0, "08:00", "09:00"), span(1, "08:00", "09:00")), key="shallow"),
        replace(windows("water", span(1, "08:15", "08:45")), key="deep"),
    )
    problem = yard(job("launch", way(2, inside=(0,))), job("other", way(2, inside=(1,))), window_sets=sets)
    found = capacity(problem, plan(put(0, 0, 2)))
    assert weeks(found.tides) == [(1, 2)]
    assert weeks(found.deepest) == [(0, 1)]


def test_a_tide_too_short_for_the_job_is_not_usable() -> None:
    sets = (windows("water", span(0, "08:00", "08:15"), span(1, "08:00", "09:00")),)
    problem = yard(job("launch", way(2, inside=(0,))), window_sets=sets)
    assert weeks(capacity(problem, plan()).tides) == [(0, 1)]
