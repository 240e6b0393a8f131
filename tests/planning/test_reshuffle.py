"""Mending a posted plan: what must move moves, nothing else does, and nobody is put back into the past."""

from __future__ import annotations

import json
from dataclasses import asdict, replace

import pytest

from tests import reshuffles
from tests.planning import tiny
from tests.planning.tiny import crew, every_day, job, moved, person, place, plan, pos, put, span, way, windows, yard
from yard.planning.check import faults
from yard.planning.layout import compile_problem
from yard.planning.plan import Plan, Score
from yard.planning.problem import Link, Order, Pin, Problem
from yard.planning.progress import Rounds, Seconds
from yard.planning.reshuffle import Reshuffled, _left_to_search, changes, moved_boats, must_move, reshuffle
from yard.planning.reshuffle.bound import never_whole
from yard.planning.reshuffle.choices import Choice, best_of, curve
from yard.planning.reshuffle.differences import Disturbance, disturbance

DAYS = 3
FULL = 8  # quarters of a tiny day, 08:00 to 10:00


def deck(*dry_days: int, **facts: object) -> Problem:
    """Wren and Teal are washed outdoors, an hour each on one deck; Teal's cushions are sewn indoors for an hour."""
    wash = [job(f"wash {n}", way(4, crew=crew(1), places=(0,), inside=(0,)), boat=n, order=n) for n in range(2)]
    sew = job("sew", way(4, crew=crew(1, skill="sew")), boat=1, order=1)
    dry = windows("weather", *(span(day, "08:00", "10:00") for day in dry_days))
    hours = every_day(days=DAYS)
    people = (person("Jo", "rig", hours=hours), person("Ann", "rig", "sew", hours=hours))
    orders = tuple(Order(key=f"o{order}", name=f"Order {order}", due_day=DAYS - 1, began_day=0) for order in range(2))
    values = {"places": (place("Deck"),), "window_sets": (dry,), "people": people, "orders": orders}
    return yard(*wash, sew, **{"calendar": tiny.calendar(days=DAYS), **values, **facts})


POSTED = plan(
    put(0, pos(0, "08:00"), pos(0, "09:00"), (0,), ((0, 0),)),
    put(1, pos(0, "09:00"), pos(0, "10:00"), (1,), ((0, 0),)),
    put(2, pos(1, "08:00"), pos(1, "09:00"), (1,)),
)


AFTERNOON = windows("weather", span(0, "09:00", "10:00"), span(1, "08:00", "10:00"), span(2, "08:00", "10:00"))


def mended(problem: Problem, posted: Plan = POSTED, **how: object) -> Reshuffled:
    return reshuffle(problem, posted, **{"stop": Rounds(40), "backend": "python", "workers": 1, **how})


def test_the_posted_plan_of_these_tests_holds() -> None:
    assert faults(deck(0, 1, 2), POSTED) == ()


def test_where_nothing_changed_nothing_moves() -> None:
    found = mended(deck(0, 1, 2))
    assert found.proposed.plan.placements == POSTED.placements
    assert found.must_move == ()
    assert found.proposed.disturbance == Disturbance(0, 0, 0, 0)


def test_a_closed_day_moves_the_outdoor_jobs_alone() -> None:
    """Day 0 is shut: both washes leave it, for day 1; the cushions are no reason to move anything further."""
    found = mended(deck(1, 2))
    assert [row.boat for row in found.must_move] == [0, 1]
    assert found.proposed.disturbance.boats == 2
    assert {row.starts_at // FULL for row in found.proposed.plan.placements if row.job in (0, 1)} == {1}


def test_freed_hands_pull_indoor_work_forward() -> None:
    """Ann's wash of Teal goes, and she sews on the lost day instead: earlier indoors disturbs nobody."""
    problem = deck(1, 2)
    found = mended(problem)
    sew = found.proposed.plan.by_job()[2]
    assert (sew.starts_at // FULL, sew.people) == (0, (1,))
    assert [row.change for row in changes(problem, POSTED, found.proposed.plan)] == ["moved", "moved", "pulled forward"]
    assert found.proposed.disturbance.jobs == 2


def test_a_closure_of_an_hour_moves_nobody_to_another_day() -> None:
    """08:00 to 09:00 is shut, and only one of the two fits behind it: one boat moves, and no proof says which."""
    problem = deck(1, 2, window_sets=(AFTERNOON,))
    found = mended(problem)
    assert found.must_move == ()
    assert found.proposed.disturbance.boats == 1


def test_the_firm_boat_stays() -> None:
    """As above, but one owner was told a firm day: the other boat moves, whichever it is."""
    problem = deck(1, 2, window_sets=(AFTERNOON,))
    for firm in (0, 1):
        found = mended(problem, firm=frozenset({firm}))
        assert moved_boats(problem, changes(problem, POSTED, found.proposed.plan)) == {1 - firm}


def test_what_has_begun_stays_and_nothing_starts_in_the_past() -> None:
    """At 09:00 of day 0 Wren's wash is done; the rest of the day is shut, so Teal's alone moves."""
    pins = (Pin(job=0, way=0, starts_at=0, ends_at=4, people=(0,), places=((0, 0),)),)
    problem = deck(1, 2, pins=pins, now=4)
    found = mended(problem)
    assert found.proposed.plan.by_job()[0] == POSTED.by_job()[0]
    assert all(row.starts_at >= 4 for row in found.proposed.plan.placements if row.job)
    assert [row.boat for row in found.must_move] == [1]


def test_somebody_ill_is_replaced_on_the_same_day() -> None:
    """Jo is away on day 0: Ann can wash both boats, so no day moves and only people change."""
    hours = every_day(days=DAYS)
    people = (
        person("Jo", "rig", hours=hours, away=(span(0, "08:00", "10:00"),)),
        person("Ann", "rig", "sew", hours=hours),
    )
    problem = deck(0, 1, 2, people=people)
    found = mended(problem)
    assert found.must_move == ()
    assert found.proposed.disturbance == Disturbance(0, 0, 0, 2)
    assert found.proposed.plan.by_job()[0].people == (1,)


def test_a_longer_job_pushes_what_waits_for_it() -> None:
    """Sewing waits for the wash and fits on its day behind it; a wash of two hours leaves no room there."""
    link = (Link(before=1, after=2, min_wait=0),)
    tight = plan(
        put(0, pos(0, "08:00"), pos(0, "09:00"), (0,), ((0, 0),)),
        put(1, pos(1, "08:00"), pos(1, "09:00"), (1,), ((0, 0),)),
        put(2, pos(1, "09:00"), pos(1, "10:00"), (1,)),
    )
    problem = deck(0, 1, 2, links=link)
    assert faults(problem, tight) == ()
    longer = replace(problem.jobs[1], ways=(replace(problem.jobs[1].ways[0], duration_quarters=8),))
    problem = replace(problem, jobs=(problem.jobs[0], longer, problem.jobs[2]))
    found = mended(problem, tight)
    assert [(row.boat, row.job) for row in found.must_move] == [(1, 2)]
    assert [row.job for row in changes(problem, tight, found.proposed.plan) if row.change == "moved"] == [2]


def test_a_fact_that_comes_late_moves_its_job() -> None:
    problem = deck(0, 1, 2)
    late = replace(problem.jobs[2], not_before=span(2, "08:00", "10:00")[0])
    problem = replace(problem, jobs=(*problem.jobs[:2], late))
    found = mended(problem)
    assert found.proposed.plan.by_job()[2].starts_at // FULL == 2
    assert [row.boat for row in found.must_move] == [1]


def test_an_urgent_job_is_added_where_there_is_room() -> None:
    problem = deck(0, 1, 2)
    urgent = job("splice", way(2, crew=crew(1)), boat=0, order=0)
    problem = replace(problem, jobs=(*problem.jobs, urgent))
    found = mended(problem)
    assert [row.change for row in changes(problem, POSTED, found.proposed.plan)] == ["added"]


def test_a_closure_that_makes_the_season_impossible_says_what_cannot_be_kept() -> None:
    """No dry day is left: neither wash can be planned, and both boats are named with the rule that stops them."""
    found = mended(deck())
    assert {row.boat for row in found.proposed.plan.left_out} == {0, 1}
    assert {row.rule for row in found.proposed.plan.left_out} == {"windows"}
    assert [row.boat for row in found.must_move] == [0, 1]


def test_no_plan_moves_fewer_boats_than_must() -> None:
    for seed in range(4):
        problem = deck(*(day for day in range(DAYS) if day != seed % DAYS))
        found = mended(problem, seed=seed + 1)
        assert all(one.disturbance.boats >= len(found.must_move) for one in found.curve)
        assert all(faults(problem, one.plan) == () for one in found.curve)


def test_one_seed_one_answer() -> None:
    one, two = mended(deck(1, 2), seed=3), mended(deck(1, 2), seed=3)
    assert one.curve == two.curve


def _choice(boats: int, late: int, left_out: int = 0, firm: int = 0) -> Choice:
    score = Score(
        cost=100 * late, late_orders=int(late > 0), weighted_days_late=late, days_of_flow=0, left_out=left_out
    )
    return Choice(Plan(placements=()), score, Disturbance(firm, boats, boats, 0))


@pytest.mark.parametrize(
    ("offered", "kept"),
    [
        ([(2, 9), (5, 3), (9, 0)], [2, 5, 9]),  # each buys days with boats
        ([(2, 3), (5, 3)], [2]),  # more boats for nothing
        ([(2, 9), (2, 4)], [2]),  # the better of two with as many boats
        ([(2, 9), (12, 0)], [2]),  # more than a third of 30
        ([(12, 9), (14, 0)], [12, 14]),  # unless all are
    ],
)
def test_the_curve_holds_plans_that_truly_differ(offered: list[tuple[int, int]], kept: list[int]) -> None:
    assert [one.disturbance.boats for one in curve([_choice(*one) for one in offered], boats=30)] == kept


def test_promises_count_before_boats() -> None:
    assert best_of([_choice(2, 9), _choice(5, 0)]).disturbance.boats == 5
    assert best_of([_choice(2, 9), _choice(1, 9, left_out=1)]).disturbance.boats == 2
    assert best_of([_choice(2, 9), _choice(5, 0, firm=1)]).disturbance.boats == 2


def test_no_boat_loses_her_plan_where_another_plan_keeps_it() -> None:
    """As many boats without a plan, but one of them had one: the dearest of all, and not shown beside the other."""
    loses, keeps = replace(_choice(1, 0, left_out=1), unplanned=1), _choice(8, 9, left_out=1)
    assert best_of([loses, keeps]) is keeps
    assert curve([loses, keeps], boats=30) == (keeps,)
    assert curve([loses], boats=30) == (loses,)


def test_a_boat_that_lost_her_plan_is_counted() -> None:
    found = mended(deck())
    assert found.proposed.unplanned == 2
    assert mended(deck(1, 2)).proposed.unplanned == 0


def test_a_search_goes_on_only_for_boats_that_could_have_a_plan() -> None:
    """Both washes can never be done; with dry days nobody is beyond help."""
    assert never_whole(compile_problem(deck())) == frozenset({0, 1})
    assert never_whole(compile_problem(deck(2))) == frozenset()
    found = mended(deck(), stop=Seconds(0.2))
    assert found.seconds < 20  # 0.2 s on an idle machine: it does not wait for what cannot come
    assert len(found.proposed.plan.left_out) == 2


def test_the_first_proposal_has_its_share_of_the_whole_time() -> None:
    assert _left_to_search(Rounds(7), 9.0) == Rounds(7)
    assert _left_to_search(Seconds(4.0), 1.0) == Seconds(1.6)  # a slow machine
    assert _left_to_search(Seconds(8.0), 0.5) == Seconds(6.25)


def test_the_frozen_closures_are_what_the_program_makes() -> None:
    """Of size M; those of L are drawn by the same lines from seasons that take a quarter of a minute to make."""
    stored = json.loads(reshuffles.FROZEN.read_text())
    assert [row for row in stored if row["size"] == "M"] == [asdict(row) for row in reshuffles.make_closures("M")]
    assert [sum(row["size"] == size for row in stored) for size in "ML"] == [50, 20]


def test_a_moved_plan_is_measured_by_hand() -> None:
    """Wren a day later by Jo: one boat, one job, one person."""
    late = moved(POSTED, 0, FULL)
    assert disturbance(deck(0, 1, 2), POSTED, late, frozenset({0})) == Disturbance(1, 1, 1, 1)


def test_must_move_needs_no_search() -> None:
    assert must_move(compile_problem(deck(1, 2)), POSTED)[0].job == 0
