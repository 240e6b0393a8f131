"""A new plan begins from the one that is posted."""

from __future__ import annotations

import pytest

from yard.models import Person, PlannedJob, YardSettings
from yard.planning.plan import Plan, Planned, score
from yard.planning.progress import Rounds
from yard.planning.solve import solve
from yard.services.read_problem import ReadProblem, read_problem
from yard.services.save_plan import Making, post_plan, save_plan
from yard.services.stored_plan import plan_on_the_wall

pytestmark = [pytest.mark.django_db, pytest.mark.once, pytest.mark.usefixtures("january")]


def stands(read: ReadProblem, plan: Plan) -> list[tuple[object, ...]]:
    """Where every job stands, but for which of its crew is the one who may work the place: no row says who."""
    return [
        (row.job, read.problem.jobs[row.job].ways[row.way].name, row.starts_at, row.ends_at, row.people, row.places)
        for row in plan.placements
    ]


def test_nothing_is_begun_from_before_a_plan_is_posted() -> None:
    clock = YardSettings.objects.get(pk=1).clock_frozen_at
    assert clock is not None
    assert plan_on_the_wall(read_problem(now=clock)) is None


def test_a_new_plan_begins_where_the_posted_one_stands() -> None:
    """Facts unchanged and no search: every job where it was. Somebody gone: none of that person's jobs is kept."""
    clock = YardSettings.objects.get(pk=1).clock_frozen_at
    assert clock is not None
    read = read_problem(now=clock)
    first = solve(read.problem, stop=Rounds(60), workers=1, backend="numba")
    assert isinstance(first, Planned)
    posted = post_plan(save_plan(read, first, Making(by=None, now=clock, seed=1)), by=None, now=clock)

    begun = plan_on_the_wall(read_problem(now=clock))
    assert begun is not None
    assert stands(read, begun) == stands(read, first.plan)
    again = solve(read.problem, stop=Rounds(0), workers=1, backend="python", start=begun)
    assert isinstance(again, Planned)
    assert stands(read, again.plan) == stands(read, first.plan)
    assert again.score == score(read.problem, first.plan)

    gone = Person.objects.filter(planned__planned_job__plan=posted).order_by("id").first()
    assert gone is not None
    theirs = set(PlannedJob.objects.filter(plan=posted, people=gone).values_list("job_id", flat=True))
    assert theirs
    gone.archived = True
    gone.save()
    later = read_problem(now=clock)
    kept = plan_on_the_wall(later)
    assert kept is not None
    assert not theirs & {later.jobs[row.job] for row in kept.placements}
