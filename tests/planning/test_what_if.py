"""What if: each change on a yard of two short days, and both seasons planned alike."""

from __future__ import annotations

from dataclasses import replace

import msgspec
import pytest

from tests.planning.tiny import at, calendar, crew, every_day, job, person, place, plan, put, span, way, yard
from yard.planning.check import faults
from yard.planning.plan import Planned
from yard.planning.problem import Order, Pin, PlaceNeed, Problem
from yard.planning.progress import Rounds
from yard.planning.what_if import (
    ChangeImpossible,
    DatesMoved,
    LongerHours,
    OneMorePerson,
    PlaceClosed,
    PlannedBeside,
    changed,
    figures_of,
    plan_beside,
)


def two_boats() -> Problem:
    """Wren and Teal each want Jo for all of a day; both are due on day 0."""
    jobs = (
        job("rig Wren", way(8, crew=crew(1))),
        replace(job("rig Teal", way(8, crew=crew(1))), boat=1, order=1),
    )
    orders = (Order(key="o0", name="Order 0", due_day=0), Order(key="o1", name="Order 1", due_day=0))
    return yard(*jobs, people=(person("Jo"),), orders=orders)


def test_one_more_person_has_the_hours_of_whoever_has_the_skill() -> None:
    found = changed(two_boats(), OneMorePerson(skills={"rig": 1}, first_day=0, until_day=1))
    assert found.people[1].skills == {"rig": 1}
    assert found.people[1].hours == (span(0, "08:00", "10:00"),)
    assert found.people[0] == two_boats().people[0]


def test_a_place_closed_for_a_day() -> None:
    problem = replace(two_boats(), places=(place("deck", 1),))
    found = changed(problem, PlaceClosed(place="deck", first_day=1, until_day=2))
    assert found.places[0].closed == (span(1, "08:00", "10:00"),)


def test_a_place_where_work_is_pinned_is_not_closed() -> None:
    problem = yard(job("wash", way(2, places=(PlaceNeed(any_of=(0,)),))), places=(place("deck", 1),))
    pinned = replace(problem, pins=(Pin(job=0, way=0, starts_at=0, ends_at=2, places=((0, 0),)),))
    with pytest.raises(ChangeImpossible, match="it stays"):
        changed(pinned, PlaceClosed(place="deck", first_day=0, until_day=1))


def test_dates_move_by_weeks_on_the_calendar_and_no_date_stays_none() -> None:
    """Fourteen days running: due on day 10 goes to day 3; on the last day means no date."""
    problem = yard(
        job("rig", way(2)),
        replace(job("sew", way(2)), order=1),
        calendar=calendar(14),
        orders=(Order(key="o0", name="0", due_day=10), Order(key="o1", name="1", due_day=13)),
    )
    found = changed(problem, DatesMoved(weeks=-1))
    assert [order.due_day for order in found.orders] == [3, 13]


def test_longer_hours_end_with_the_yards_longest_day() -> None:
    short = person("Jo", hours=(span(0, "08:30", "09:00"), span(1, "08:00", "10:00")))
    problem = yard(job("rig", way(2, crew=crew(1))), people=(short,))
    found = changed(problem, LongerHours(before_min=60, after_min=30, first_day=0, until_day=2))
    assert found.people[0].hours == (span(0, "08:00", "09:30"), span(1, "08:00", "10:00"))


@pytest.mark.parametrize(
    "change",
    [
        OneMorePerson(skills={}, first_day=0, until_day=1),
        OneMorePerson(skills={"rig": 1}, first_day=2, until_day=3),
        OneMorePerson(skills={"rig": 1}, first_day=1, until_day=1),
        PlaceClosed(place="moon", first_day=0, until_day=1),
        DatesMoved(weeks=0),
        LongerHours(first_day=0, until_day=1),
        LongerHours(after_min=60, first_day=0, until_day=2),  # Jo works all of the longest day already
    ],
)
def test_what_makes_no_other_season_is_said(change: object) -> None:
    with pytest.raises(ChangeImpossible):
        changed(two_boats(), change)


def test_both_seasons_are_planned_and_the_change_brings_a_boat_on_time() -> None:
    change = OneMorePerson(skills={"rig": 1}, first_day=0, until_day=2)
    found = plan_beside(
        two_boats(),
        stop=Rounds(20),
        seed=1,
        workers=1,
        on_progress=lambda _progress: None,
        should_stop=lambda: False,
        start=None,
        change=msgspec.to_builtins(change),
    )
    assert isinstance(found, PlannedBeside)
    assert isinstance(found.same, Planned)
    assert (found.same.score.late_orders, found.changed.score.late_orders) == (1, 0)
    assert faults(two_boats(), found.same.plan) == ()
    assert faults(changed(two_boats(), change), found.changed.plan) == ()


def test_figures_name_who_is_late_and_what_has_no_place() -> None:
    problem = two_boats()
    late = figures_of(problem, plan(put(0, 8, 16, people=(0,)), put(1, 0, 8, people=(0,)))).late
    assert [(row.key, row.days, row.left_out) for row in late] == [("o0", 1, False)]
    out = figures_of(problem, plan(put(0, 0, 8, people=(0,)))).late
    assert [(row.key, row.days, row.left_out) for row in out] == [("o1", 1, True)]


def test_the_moments_of_the_tiny_yard() -> None:
    """The helpers mean what these tests read into them."""
    assert (at(1, "08:00"), every_day(days=1)) == (32 * 60, (span(0, "08:00", "10:00"),))
