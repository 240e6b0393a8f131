"""The planner against the generator's own words, list and check: three things that share no code with it."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from tests import season_generator as generator
from tests import seasons
from yard.planning.layout import compile_problem
from yard.planning.listing import list_plan
from yard.planning.plan import Planned, read_plan_json, score, write_plan_json
from yard.planning.problem import Problem, read_problem_json, write_problem_json
from yard.planning.progress import Rounds
from yard.planning.solve import solve


@cache
def made(size: str, seed: int) -> tuple[dict[str, Any], Problem]:
    season = generator.season(size, seed=seed)
    return season, seasons.problem_of(season)


@pytest.mark.parametrize(("size", "seed"), [("XS", 1), ("S", 1), ("M", 2)])
def test_start_domains_are_the_generators(size: str, seed: int) -> None:
    """Every step, every day, bit for bit; of work that pauses, without the starts that would run over the calendar."""
    season, problem = made(size, seed)
    layout = compile_problem(problem)
    domains = generator.start_domains(season)
    whole = season["horizon_days"] * generator.Q
    job = 0
    for boat, row in enumerate(season["jobs"]):
        for number, step in enumerate(row["steps"]):
            last = whole - step["dur"]
            fits = [
                sum(1 << bit for bit in range(generator.Q) if day * generator.Q + bit <= last)
                for day in range(season["horizon_days"])
            ]
            wanted = [word & fit for word, fit in zip(domains[boat, number], fits, strict=True)]
            assert layout.start_words(job, 0) == wanted, (boat, number, step["name"])
            job += 1


@pytest.mark.parametrize(("size", "seed"), [("XS", 1), ("S", 1), ("S", 2), ("S", 3), ("M", 1), ("M", 3)])
def test_list_plan_costs_what_the_yardstick_costs(size: str, seed: int) -> None:
    season, problem = made(size, seed)
    plan = list_plan(problem)
    _starts, _who, _unit, cost, unplaced = generator.earliest_due_list(season)
    verdict = seasons.judge(season, plan)
    assert verdict == {"cost": cost, "unplaced": unplaced, "faults": []}
    assert score(problem, plan).cost == cost


def test_frozen_figures() -> None:
    """The yardstick itself: costs written down when the generator was frozen."""
    for (size, seed), cost in {("XS", 1): 5516, ("S", 1): 16388, ("S", 2): 14054, ("M", 1): 41320}.items():
        assert generator.earliest_due_list(made(size, seed)[0])[3] == cost


def test_an_improved_plan_is_judged_without_fault_and_costs_far_less() -> None:
    """The list costs 5,516; 1,000 rounds gave 4,093 when this was written, and 3,880 is proved to be the least."""
    season, problem = made("XS", 1)
    result = solve(problem, stop=Rounds(1000), workers=1, backend="python")
    assert isinstance(result, Planned)
    verdict = seasons.judge(season, result.plan)
    assert verdict["faults"] == []
    assert verdict["unplaced"] == 0
    assert verdict["cost"] == result.score.cost
    assert 3880 <= result.score.cost < 4300


def test_judge_finds_what_is_broken() -> None:
    """A job moved by a quarter onto the one after it: the generator's check must say so."""
    season, problem = made("XS", 1)
    plan = list_plan(problem)
    rows = list(plan.placements)
    last = max(range(len(rows)), key=lambda n: rows[n].starts_at)
    moved = seasons.Plan(placements=tuple(r for n, r in enumerate(rows) if n != last))
    assert seasons.judge(season, moved)["unplaced"] == 1
    shifted = [
        type(r)(job=r.job, way=0, starts_at=r.starts_at + 1, ends_at=r.ends_at + 1, people=r.people, places=r.places)
        for r in rows
    ]
    assert seasons.judge(season, seasons.Plan(placements=tuple(shifted)))["faults"]


def test_problem_and_plan_survive_json() -> None:
    _season, problem = made("XS", 1)
    assert read_problem_json(write_problem_json(problem)) == problem
    plan = list_plan(problem)
    assert read_plan_json(write_plan_json(plan)) == plan
