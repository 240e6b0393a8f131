"""The benchmark's own parts, on the smallest season: figures are the plan's, a broken plan is no row."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.benchmark import Row, Run, Season, _library, _ours, _plain, _row, picture, runs, seasons, table
from tests.general_library import Season as General
from tests.harder_seasons import evening, wetter
from tests.planning.tiny import at, crew, job, person, place, way, yard
from yard.planning.check import faults
from yard.planning.listing import list_plan
from yard.planning.plan import score
from yard.planning.problem import Link


@pytest.fixture(scope="module")
def smallest() -> Season:
    _name, make = next(seasons(full=False))
    return make()


def test_a_row_has_the_figures_of_its_plan(smallest: Season) -> None:
    listed = list_plan(smallest.problem)
    run = Run(listed, 0.1, 7, points=((0.1, 9), (0.2, 8)))
    row = _row(smallest, "list", (run, 50), 0, 1000)
    found = score(smallest.problem, listed)
    assert (row.cost, row.weighted_days_late, row.days_of_flow) == (
        found.cost,
        found.weighted_days_late,
        found.days_of_flow,
    )
    assert (row.gap, row.ratio_to_list, row.peak_mb) == (found.cost - 7, round(found.cost / 1000, 3), 50)
    assert str(found.cost) in table([row])
    assert "fell from 9 to 8" in picture(row)


def test_a_plan_with_a_fault_stops_it_or_is_not_compared(smallest: Season) -> None:
    listed = list_plan(smallest.problem)
    first = listed.placements[0]
    broken = replace(listed, placements=(replace(first, people=()), *listed.placements[1:]))
    with pytest.raises(AssertionError, match="XS 1, ours"):
        _row(smallest, "ours", (Run(broken, 0.1), 1), 0)
    row = _row(smallest, "PyJobShop", (Run(broken, 0.1), 1), 0, others=True)
    assert row.cost is None
    assert "not compared" in row.note


def test_no_plan_is_a_row_without_figures(smallest: Season) -> None:
    row = _row(smallest, "plain", (Run(None, 0.1, note="OutOfTime"), 1), 5)
    assert isinstance(row, Row)
    assert (row.cost, row.bound, row.note) == (None, 5, "OutOfTime")


def test_each_run_has_a_process_of_its_own(smallest: Season) -> None:
    (row,) = runs(smallest, budgets=(), bound_s=0.1)
    assert (row.by, row.cost, row.left_out) == ("list", score(smallest.problem, list_plan(smallest.problem)).cost, 0)
    assert row.peak_mb > 20


def test_each_planner_runs(smallest: Season) -> None:
    for run in (_plain, _library, _ours):
        made = run(smallest.problem, 1.0)
        assert made.plan is None or faults(smallest.problem, made.plan) == ()


def test_the_library_keeps_what_it_can_express() -> None:
    """Two jobs with one pair of hands, the second within an hour of the first and only before nine: one way goes."""
    problem = yard(
        job("wash", way(4, crew=crew(1), places=(0,)), not_before=at(0, "08:00")),
        job("paint", way(4, crew=crew(1)), not_after=at(0, "09:00")),
        places=(place("deck"),),
        people=(person("Jo"),),
        links=(Link(before=0, after=1, max_wait=60),),
    )
    model = General(problem)
    assert model.cannot == set()
    plan = model.solve(5, workers=1, seed=1)
    assert plan is not None
    assert faults(problem, plan) == ()
    starts = {row.job: row.starts_at for row in plan.placements}
    assert starts[1] - starts[0] >= 4


def test_the_wetter_season_loses_every_third_dry_day(smallest: Season) -> None:
    dry = [row for row in smallest.problem.window_sets if row.rule == "weather"]
    less = [row for row in wetter(smallest.problem).window_sets if row.rule == "weather"]
    assert [len(row.intervals) * 2 // 3 for row in dry] == [len(row.intervals) for row in less]


def test_the_evening_season_is_decided_at_the_ends_of_the_day() -> None:
    """Its list keeps every rule; tides take people out of their normal hours, and berths are taken by night."""
    problem = evening("XS", 1, berths=4)
    plan = list_plan(problem)
    assert faults(problem, plan) == ()
    assert len(plan.stays) == len(problem.stays) > 0
    water = [row for row in problem.window_sets if row.rule == "water"]
    assert any(start % 1440 < 8 * 60 for row in water for start, _end in row.intervals)
    assert any(end % 1440 > 16 * 60 for row in water for _start, end in row.intervals)
