"""The example yard from orders to a saved plan: read, planned, checked from its rows and by heights of water."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from yard.models import Boat, GaugeReading, Job, Mooring, Order, Person, Place, Plan, PlannedJob, YardSettings
from yard.planning.plan import Planned
from yard.planning.progress import Rounds
from yard.planning.solve import solve
from yard.services.check_plan import check_stored
from yard.services.check_water import water_faults
from yard.services.read_problem import ReadProblem, read_problem, tide_at
from yard.services.save_plan import Making, PlanRefused, save_plan

pytestmark = [pytest.mark.django_db, pytest.mark.once]


@pytest.fixture(scope="module")
def season(january: None) -> tuple[ReadProblem, Planned]:
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
    YardSettings.objects.update(ramp_toe_m_above_datum=toe_m + 2.5)
    launches = Job.objects.filter(water_need="ramp", order__state=Order.State.OPEN, pk__in=read.jobs)
    by_the_gauge = GaugeReading.objects.filter(boat__isnull=False).values("boat")
    short = {fault.job for fault in water_faults(read, planned.plan)}
    # Where a boat really floated off last year takes the place of the ramp's level, so those two stay as they are.
    wanted = set(launches.exclude(order__boat__in=by_the_gauge).values_list("pk", flat=True))
    assert wanted
    assert short == wanted
    assert launches.filter(order__boat__in=by_the_gauge).exists()
    YardSettings.objects.update(ramp_toe_m_above_datum=toe_m)

    pole = Place.objects.get(ref="gin-pole")
    allowed = set(pole.operators.values_list("pk", flat=True))
    at_the_pole = plan.planned_jobs.filter(places=pole)
    assert allowed
    assert at_the_pole
    assert all(allowed & set(job.people.values_list("pk", flat=True)) for job in at_the_pole)
    pole.operators.set(Person.objects.exclude(planned_jobs__in=at_the_pole)[:1])
    refused = [fault for fault in check_stored(plan) if fault.rule == "operators"]
    assert {int(fault.job) for fault in refused} == set(at_the_pole.values_list("job", flat=True))
    pole.operators.set(allowed)

    # The deepest, whom six hours later finds no water; a boat of little draft might float then too.
    at_the_ramp = PlannedJob.objects.filter(plan=plan, job__water_need="ramp")
    launch = at_the_ramp.order_by("-job__order__boat__draft_m", "id")[0]
    launch.starts_at, launch.ends_at = launch.starts_at + timedelta(hours=6), launch.ends_at + timedelta(hours=6)
    launch.holds_until = None
    launch.save()
    assert "water" in {fault.rule for fault in check_stored(plan)}


def test_a_mast_passes_under_a_bridge_only_while_the_water_is_low_enough(
    season: tuple[ReadProblem, Planned],
) -> None:
    """Every way under one bridge: half the plan's deliveries would touch it, and a new plan keeps clear of it."""
    read, planned = season
    yard = YardSettings.objects.get(pk=1)
    margin_m = max(yard.margin_rising_m, yard.margin_falling_m)
    assert not [fault for fault in water_faults(read, planned.plan) if fault.rule == "under"]

    Boat.objects.update(mast_height_m=12.0)
    tide = tide_at(yard, "field")
    heights = sorted(event.height_m for event in tide.events(read.axis.starts_at, read.axis.ends_at))
    Mooring.objects.update(underside_m_above_datum=12.0 + margin_m + heights[len(heights) * 3 // 4])
    faults = [fault for fault in water_faults(read, planned.plan) if fault.rule == "under"]
    assert faults
    assert all(fault.height_m > fault.needed_m for fault in faults)
    assert "passes under with at most" in faults[0].message

    again = read_problem(now=read.now)
    assert any(levels[-1].maximum for levels in again.water.values())
    lower = solve(again.problem, stop=Rounds(0), workers=1, backend="python")
    assert isinstance(lower, Planned)
    assert water_faults(again, lower.plan) == []

    Boat.objects.update(mast_height_m=None)
    held = {one.reason for one in read_problem(now=read.now).held}
    assert "the height of her mast above the water is unknown" in held


def test_a_plan_with_a_fault_is_not_saved(season: tuple[ReadProblem, Planned]) -> None:
    read, planned = season
    first = planned.plan.placements[0]
    broken = replace(planned.plan, placements=(replace(first, people=()), *planned.plan.placements[1:]))
    with pytest.raises(PlanRefused) as refusal:
        save_plan(read, replace(planned, plan=broken), Making(by=None, now=read.now, seed=1))
    assert refusal.value.faults
    assert not Plan.objects.exists()
