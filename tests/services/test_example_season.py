"""The example yard from orders to a saved plan: read, planned, checked from its rows and by heights of water."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from yard.models import GaugeReading, Job, Order, Plan, PlannedJob, YardSettings
from yard.planning.plan import Planned
from yard.planning.progress import Rounds
from yard.planning.solve import solve
from yard.services.check_plan import check_stored, water_faults
from yard.services.example_yard import ExampleRefused, build_example
from yard.services.read_problem import ReadProblem, read_problem
from yard.services.save_plan import Making, PlanRefused, save_plan

pytestmark = pytest.mark.django_db


@pytest.fixture
def season() -> tuple[ReadProblem, Planned]:
    build_example("S", 1)
    clock = YardSettings.objects.get(pk=1).clock_frozen_at
    assert clock is not None
    read = read_problem(now=clock)
    planned = solve(read.problem, stop=Rounds(0), workers=1, backend="python")
    assert isinstance(planned, Planned)
    return read, planned


def test_a_season_is_planned_saved_and_holds(season: tuple[ReadProblem, Planned]) -> None:
    """Then each way of breaking it is seen: too little water, and a job moved under the plan."""
    read, planned = season
    assert planned.score.left_out == 0
    plan = save_plan(read, planned, Making(by=None, now=read.now, seed=1))
    assert check_stored(plan) == []
    assert plan.planned_jobs.count() == len(read.jobs)

    toe_m = YardSettings.objects.get(pk=1).ramp_toe_m_above_datum
    assert toe_m is not None
    YardSettings.objects.update(ramp_toe_m_above_datum=toe_m + 1.5)
    launches = Job.objects.filter(water_need="ramp", order__state=Order.State.OPEN, pk__in=read.jobs)
    by_the_gauge = GaugeReading.objects.filter(boat__isnull=False).values("boat")
    short = {fault.job for fault in water_faults(read, planned.plan)}
    # Where a boat really floated off last year takes the place of the ramp's level, so those two stay as they are.
    wanted = set(launches.exclude(order__boat__in=by_the_gauge).values_list("pk", flat=True))
    assert wanted
    assert short == wanted
    assert launches.filter(order__boat__in=by_the_gauge).exists()
    YardSettings.objects.update(ramp_toe_m_above_datum=toe_m)

    launch = PlannedJob.objects.filter(plan=plan, job__water_need="ramp").first()
    assert launch is not None
    launch.starts_at, launch.ends_at = launch.starts_at + timedelta(hours=6), launch.ends_at + timedelta(hours=6)
    launch.holds_until = None
    launch.save()
    assert "water" in {fault.rule for fault in check_stored(plan)}


def test_a_plan_with_a_fault_is_not_saved(season: tuple[ReadProblem, Planned]) -> None:
    read, planned = season
    first = planned.plan.placements[0]
    broken = replace(planned.plan, placements=(replace(first, people=()), *planned.plan.placements[1:]))
    with pytest.raises(PlanRefused) as refusal:
        save_plan(read, replace(planned, plan=broken), Making(by=None, now=read.now, seed=1))
    assert refusal.value.faults
    assert not Plan.objects.exists()


def test_an_example_is_never_written_over_a_yard() -> None:
    YardSettings.objects.create(name="A real yard")
    with pytest.raises(ExampleRefused, match="never written over"):
        build_example("S", 1)
