"""The made-up autumn is planned and kept; each of its own rules is found broken where it is broken."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.autumn_seasons import WASH_WITHIN_MIN, Autumn, autumn, kept
from yard.planning.check import faults
from yard.planning.listing import list_plan
from yard.planning.plan import Plan, Planned, score
from yard.planning.problem import write_problem_json
from yard.planning.solve import Rounds, solve


@pytest.fixture(scope="module")
def season() -> Autumn:
    return autumn("S", 1)


@pytest.fixture(scope="module")
def plan(season: Autumn) -> Plan:
    return list_plan(season.problem)


def later(plan: Plan, job: int, quarters: int) -> Plan:
    return replace(
        plan,
        placements=tuple(
            replace(row, starts_at=row.starts_at + quarters, ends_at=row.ends_at + quarters) if row.job == job else row
            for row in plan.placements
        ),
    )


def test_the_same_size_and_seed_give_the_same_autumn(season: Autumn) -> None:
    assert write_problem_json(autumn("S", 1).problem) == write_problem_json(season.problem)


def test_kept_by_the_list_and_by_the_search(season: Autumn, plan: Plan) -> None:
    assert (list(faults(season.problem, plan)), kept(season, plan)) == ([], [])
    found = solve(season.problem, stop=Rounds(30), workers=1, backend="python")
    assert isinstance(found, Planned)
    assert (list(faults(season.problem, found.plan)), kept(season, found.plan)) == ([], [])
    assert found.score.cost <= score(season.problem, plan).cost


def test_trivial_nothing_planned_breaks_nothing(season: Autumn) -> None:
    assert kept(season, Plan(placements=())) == []


def test_broken_a_wash_that_waits(season: Autumn, plan: Plan) -> None:
    wash = season.jobs[0]["wash"]
    broken = later(plan, wash, WASH_WITHIN_MIN // 15 + 8)
    assert any("waits" in said for said in kept(season, broken))
    assert "waits" in {fault.rule for fault in faults(season.problem, broken)}


def test_broken_winterised_too_late(season: Autumn, plan: Plan) -> None:
    job = season.jobs[0]["winterise"]
    assert season.last_day is not None
    at = plan.by_job()[job].starts_at
    broken = later(plan, job, (season.last_day + 1) * 32 - at)
    assert any("is winterised on day" in said for said in kept(season, broken))
    assert "release" in {fault.rule for fault in faults(season.problem, broken)}
    assert kept(season, broken, freeze="costs") == []


def test_broken_hauled_out_of_turn(season: Autumn, plan: Plan) -> None:
    inner, outer = next((row[0], row[1]) for row in season.rows if len(row) > 1)
    hauls = plan.by_job()
    first, second = season.jobs[inner]["haul"], season.jobs[outer]["haul"]
    broken = later(plan, first, hauls[second].starts_at - hauls[first].starts_at + 1)
    assert any("who stands behind her" in said for said in kept(season, broken))
    assert "waits" in {fault.rule for fault in faults(season.problem, broken)}


def test_a_last_day_that_costs_is_a_unit_of_lateness(season: Autumn) -> None:
    wish = autumn("S", 1, freeze="costs")
    assert len(wish.problem.orders) == 2 * len(season.problem.orders)
    assert all(job.not_after is None for job in wish.problem.jobs)
    assert {job.not_after is None for job in season.problem.jobs if job.name == "winterise"} == {False}
