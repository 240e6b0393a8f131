"""Who loses her day takes the boats behind her along, where they would have no place else."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.planning import tiny
from tests.planning.test_reshuffle import deck
from tests.planning.tiny import at, crew, every_day, job, person, plan, pos, put, span, way, windows
from yard.planning.check import faults
from yard.planning.plan import Plan
from yard.planning.problem import Link, Order, Problem
from yard.planning.progress import Rounds
from yard.planning.reasons import why
from yard.planning.reshuffle import reshuffle
from yard.planning.reshuffle.choices import Choice

WREN, TEAL, KNOT = 0, 1, 2
DAYS = 3
POSTED = plan(
    put(WREN, pos(0, "08:00"), pos(0, "09:00"), (0,), ((0, 0),)),
    put(TEAL, pos(1, "08:00"), pos(1, "09:00"), (0,), ((0, 0),)),
    put(KNOT, pos(1, "09:00"), pos(1, "10:00"), (0,), ((0, 0),)),
)


def row(*dry_days: int, teal_by: int | None = at(1, "09:00")) -> Problem:
    """Three are washed on one deck, an hour each; Wren stands in front of Teal, and Teal has a last hour."""
    wash = [job(f"wash {n}", way(4, crew=crew(1), places=(0,), inside=(0,)), boat=n, order=n) for n in range(3)]
    wash[TEAL] = replace(wash[TEAL], not_after=teal_by)
    orders = tuple(Order(key=f"o{order}", name=f"Order {order}", due_day=DAYS - 1, began_day=0) for order in range(3))
    return tiny.yard(
        *wash,
        calendar=tiny.calendar(days=DAYS),
        places=deck(0).places,
        window_sets=(windows("weather", *(span(day, "08:00", "10:00") for day in dry_days)),),
        people=(person("Jo", "rig", hours=every_day(days=DAYS)),),
        orders=orders,
        links=(Link(before=WREN, after=TEAL, min_wait=0),),
    )


def first_proposal(problem: Problem, posted: Plan = POSTED) -> Choice:
    firsts: list[Choice] = []
    reshuffle(problem, posted, stop=Rounds(1), workers=1, backend="python", on_first=firsts.append)
    assert faults(problem, firsts[0].plan) == ()
    return firsts[0]


def test_the_posted_plan_holds_and_stays_where_no_day_is_lost() -> None:
    assert faults(row(0, 1, 2), POSTED) == ()
    assert first_proposal(row(0, 1, 2)).plan.placements == POSTED.placements


def test_knot_gives_her_hour_so_that_teal_keeps_a_plan() -> None:
    """Day 0 is lost. Wren's next free hour is on day 2, and by then Teal's last is over."""
    found = first_proposal(row(1, 2))
    starts = {placed.job: placed.starts_at for placed in found.plan.placements}
    assert found.plan.left_out == ()
    assert (starts[WREN], starts[TEAL]) == (pos(1, "08:00"), pos(1, "09:00"))
    assert starts[KNOT] >= pos(2, "08:00")


def test_without_a_last_hour_nobody_gives_way() -> None:
    found = first_proposal(row(1, 2, teal_by=None))
    assert found.plan.left_out == ()
    assert found.plan.by_job()[KNOT] == POSTED.by_job()[KNOT]


@pytest.mark.parametrize("teal_by", [at(0, "10:00"), at(1, "07:00")])
def test_where_giving_way_helps_nobody_it_is_not_done(teal_by: int) -> None:
    """Teal is to be washed on the day that is lost: with or without Knot's hour there is no place for her."""
    found = first_proposal(row(1, 2, teal_by=teal_by))
    assert [left.boat for left in found.plan.left_out] == [TEAL]
    assert found.plan.by_job()[KNOT] == POSTED.by_job()[KNOT]


def test_the_reason_names_who_is_ahead_and_not_the_yard() -> None:
    """Wren is as late as can be; nothing but her keeps Teal from her own hour."""
    problem = row(0, 1, 2)
    late = plan(put(WREN, pos(2, "08:00"), pos(2, "09:00"), (0,), ((0, 0),)), POSTED.by_job()[KNOT])
    told = why(problem, late, TEAL)
    assert (told.rule, told.job) == ("waits", TEAL)
    assert told.reason == "wash 1: wash 0 of Wren comes too late before it in this plan"
    alone = why(replace(problem, links=()), late, TEAL)
    assert "comes too late" not in alone.reason
