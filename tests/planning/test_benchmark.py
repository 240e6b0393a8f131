"""The benchmark's own parts, on the smallest season: figures are the plan's, a broken plan is no row."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.benchmark import Row, Season, _row, picture, seasons, table, with_more_days_lost
from yard.planning.listing import list_plan
from yard.planning.plan import score


@pytest.fixture(scope="module")
def smallest() -> Season:
    return next(seasons(full=False))


def test_a_row_has_the_figures_of_its_plan(smallest: Season) -> None:
    listed = list_plan(smallest.problem)
    row = _row(smallest, "list", listed, 0.1, 7, None, [[0.1, 9.0], [0.2, 8.0]], least=1000)
    found = score(smallest.problem, listed)
    assert (row.cost, row.weighted_days_late, row.days_of_flow) == (
        found.cost,
        found.weighted_days_late,
        found.days_of_flow,
    )
    assert (row.gap, row.ratio_to_list) == (found.cost - 7, round(found.cost / 1000, 3))
    assert str(found.cost) in table([row])
    assert "fell from 9 to 8" in picture(row)


def test_a_plan_with_a_fault_stops_it(smallest: Season) -> None:
    listed = list_plan(smallest.problem)
    first = listed.placements[0]
    broken = replace(listed, placements=(replace(first, people=()), *listed.placements[1:]))
    with pytest.raises(AssertionError, match="XS 1, list"):
        _row(smallest, "list", broken, 0.1, 0, None, [])


def test_no_plan_is_a_row_without_figures(smallest: Season) -> None:
    row = _row(smallest, "plain", None, 0.1, 5, None, [], "OutOfTime")
    assert isinstance(row, Row)
    assert (row.cost, row.bound, row.note) == (None, 5, "OutOfTime")


def test_the_harder_season_loses_every_third_dry_day(smallest: Season) -> None:
    dry = [row for row in smallest.problem.window_sets if row.rule == "weather"]
    less = [row for row in with_more_days_lost(smallest.problem).window_sets if row.rule == "weather"]
    assert [len(row.intervals) * 2 // 3 for row in dry] == [len(row.intervals) for row in less]
