"""A boat that goes before all has her place in the first proposal, and whoever stood there gives way."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.planning.test_reshuffle import AFTERNOON, deck
from tests.planning.tiny import at, plan, pos, put
from yard.planning.check import faults
from yard.planning.problem import Problem
from yard.planning.progress import Rounds
from yard.planning.reshuffle import reshuffle
from yard.planning.reshuffle.choices import Choice

WREN, TEAL = 0, 1
HERS = plan(
    put(WREN, pos(0, "09:00"), pos(0, "10:00"), (0,), ((0, 0),)), put(2, pos(1, "08:00"), pos(1, "09:00"), (1,))
)
"""Wren has the one dry hour of day 0."""


def urgent(goes_first: int, *, before: str = "10:00") -> Problem:
    """Teal's wash is new, and is to begin on day 0: before the storm, say."""
    problem = deck(1, 2, window_sets=(AFTERNOON,))
    wren, teal = problem.orders
    wash = replace(problem.jobs[TEAL], not_after=at(0, before))
    return replace(
        problem, orders=(wren, replace(teal, goes_first=goes_first)), jobs=(problem.jobs[WREN], wash, problem.jobs[2])
    )


def first_proposal(problem: Problem) -> Choice:
    firsts: list[Choice] = []
    reshuffle(problem, HERS, stop=Rounds(1), workers=1, backend="python", on_first=firsts.append)
    assert faults(problem, firsts[0].plan) == ()
    return firsts[0]


def test_wren_gives_her_hour_to_who_goes_before_all() -> None:
    found = first_proposal(urgent(3))
    assert found.plan.by_job()[TEAL].starts_at == pos(0, "09:00")
    assert found.plan.by_job()[WREN].starts_at >= pos(1, "08:00")
    assert (found.plan.left_out, found.disturbance.boats) == ((), 1)


@pytest.mark.parametrize("goes_first", [1, 2])
def test_for_nobody_else_does_anybody_give_way_in_the_first_proposal(goes_first: int) -> None:
    found = first_proposal(urgent(goes_first))
    assert [row.boat for row in found.plan.left_out] == [TEAL]
    assert found.plan.by_job()[WREN] == HERS.by_job()[WREN]


def test_nobody_gives_way_for_a_boat_that_fits_in_no_yard() -> None:
    """She is to begin before the dry hour does: with or without Wren there is no place for her."""
    found = first_proposal(urgent(3, before="08:30"))
    assert [row.boat for row in found.plan.left_out] == [TEAL]
    assert found.plan.by_job()[WREN] == HERS.by_job()[WREN]


def test_whose_only_hour_it_is_has_it_in_whatever_turn_they_come() -> None:
    """Both go before all and neither was planned; Wren may come on any day, Teal on day 0 alone."""
    problem = urgent(3)
    problem = replace(problem, orders=(replace(problem.orders[WREN], goes_first=3), problem.orders[TEAL]))
    nobody = plan(HERS.by_job()[2])
    firsts: list[Choice] = []
    reshuffle(problem, nobody, stop=Rounds(1), workers=1, backend="python", on_first=firsts.append)
    assert firsts[0].plan.left_out == ()
    assert firsts[0].plan.by_job()[TEAL].starts_at == pos(0, "09:00")
