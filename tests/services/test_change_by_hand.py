"""Changes by hand on the small example yard: offered, judged, waived, undone, split, posted; by one of two."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from django.contrib.auth.models import User

from tests.conftest import Cast
from yard.models import Fact, HandChange, HandDraft, Job, Pin, Plan, PlannedJob, Waiver, YardSettings
from yard.planning.by_hand import offers
from yard.planning.check import faults
from yard.planning.plan import Placement
from yard.services import change_by_hand, plan_in_memory
from yard.services.change_by_hand import (
    Draft,
    HandRefused,
    Wish,
    change,
    draft_now,
    drop,
    post,
    redo,
    split,
    try_placement,
    undo,
)
from yard.services.check_plan import check_stored
from yard.services.check_water import water_faults

pytestmark = [pytest.mark.django_db, pytest.mark.once]


@pytest.fixture
def ada(cast: Cast) -> User:
    return cast.ada


@pytest.fixture(scope="module")
def read_once(posted_in_january: int) -> dict[plan_in_memory.Key, plan_in_memory.InMemory]:
    """The plan as it is read before any test writes: reading takes a second or two."""
    plan_in_memory._kept.clear()
    assert plan_in_memory.plan_in_memory(now=clock()) is not None
    return dict(plan_in_memory._kept)


def clock() -> datetime:
    frozen = YardSettings.objects.get(pk=1).clock_frozen_at
    assert frozen is not None
    return frozen


@pytest.fixture
def now(read_once: dict[plan_in_memory.Key, plan_in_memory.InMemory], db: None) -> datetime:
    """The clock of the example yard, with its plan on the wall and nothing kept of another test's."""
    plan_in_memory._kept.clear()
    plan_in_memory._kept.update(read_once)
    return clock()


def draft(now: datetime) -> Draft:
    found = draft_now(now=now)
    assert found is not None
    return found


def indoor_job(of: Draft) -> int:
    """A job of people alone, with room to move."""
    problem = of.read.problem
    for row in of.plan.placements:
        job = problem.jobs[row.job]
        loose = row.starts_at > problem.now and job.pausing == "fitted" and not job.ways[row.way].inside and row.people
        if loose and not job.ways[row.way].places and len(offers(problem, of.plan, row.job)) > 3:
            return row.job
    raise AssertionError("no such job in the example")


def launch_job(of: Draft) -> int:
    sets, jobs = of.read.problem.window_sets, of.read.problem.jobs
    rows = (row for row in of.plan.placements if row.starts_at > of.read.problem.now)
    return next(
        row.job for row in rows if "water" in {sets[one.window_set].rule for one in jobs[row.job].ways[row.way].inside}
    )


def too_low(of: Draft, wanted: Placement) -> bool:
    alone = replace(of.plan, placements=(wanted,), stays=(), left_out=())
    return any(fault.rule == "water" for fault in water_faults(of.read, alone))


def move(of: Draft, wanted: Placement, by: User, now: datetime, **more: object) -> HandDraft:
    wish = Wish(wanted, **more)
    return change(of, wish, says="moved", seen_version=of.version, by=by, now=now)


def test_every_offer_fits_and_moves_nobody_else(now: datetime) -> None:
    first = draft(now)
    before = set(faults(first.read.problem, first.plan))
    found = offers(first.read.problem, first.plan, indoor_job(first))
    assert found == tuple(sorted(found, key=lambda one: (one.late_days, one.days_off, one.placement.starts_at)))
    for one in found:
        assert set(faults(first.read.problem, one.plan)) <= before
        others = [row for row in one.plan.placements if row.job != one.placement.job]
        assert others == [row for row in first.plan.placements if row.job != one.placement.job]


def test_a_change_gathers_and_is_undone_and_done_again(now: datetime, ada: User) -> None:
    first = draft(now)
    job = indoor_job(first)
    one, two = offers(first.read.problem, first.plan, job)[:2]
    row = move(first, one.placement, ada, now)
    second = draft(now)
    assert second.plan.by_job()[job] == one.placement
    move(second, two.placement, ada, now)
    row.refresh_from_db()
    assert (row.done, row.version) == (2, 2)
    undo(row, seen_version=2, by=ada, now=now)
    assert draft(now).plan.by_job()[job] == one.placement
    redo(HandDraft.objects.get(), seen_version=3, by=ada, now=now)
    assert draft(now).plan.by_job()[job] == two.placement
    undo(HandDraft.objects.get(), seen_version=4, by=ada, now=now)
    third = draft(now)
    move(third, two.placement, ada, now)  # what was undone is forgotten
    assert HandChange.objects.count() == 2
    assert Plan.objects.get(state="posted").planned_jobs.count() == len(first.plan.placements)


def test_of_two_who_change_the_second_is_told(now: datetime, ada: User) -> None:
    first, same = draft(now), draft(now)
    one, two = offers(first.read.problem, first.plan, indoor_job(first))[:2]
    move(first, one.placement, ada, now)
    with pytest.raises(HandRefused, match="meanwhile"):
        move(same, two.placement, ada, now)
    row = HandDraft.objects.get()
    with pytest.raises(HandRefused, match="meanwhile"):
        post(row, seen_version=7, by=ada, now=now)


def test_posted_it_hangs_with_its_pin_and_passes_the_check_at_the_door(now: datetime, ada: User) -> None:
    first = draft(now)
    job = indoor_job(first)
    one = offers(first.read.problem, first.plan, job)[0]
    row = move(first, one.placement, ada, now, pins=True)
    new = post(row, seen_version=row.version, by=ada, now=now)
    assert (new.state, new.note) == ("posted", "changed by hand")
    starts = first.read.axis.timeline.starts_at(one.placement.starts_at)
    assert new.planned_jobs.get(job=first.read.jobs[job]).starts_at == starts
    assert Pin.objects.get().starts_at == starts
    assert check_stored(new) == []
    row.refresh_from_db()
    assert (row.state, row.posted) == ("posted", new)
    assert draft(now).row is None


def test_a_limit_of_the_yards_own_is_waived_with_a_reason_that_is_kept_and_honoured(now: datetime, ada: User) -> None:
    first = draft(now)
    job = indoor_job(first)
    placed = first.plan.by_job()[job]
    per_day = first.read.problem.calendar.quarters_per_day
    early = placed.starts_at // per_day * per_day  # the first quarter of the axis: before anybody's hours
    wanted = replace(placed, starts_at=early, ends_at=early + placed.ends_at - placed.starts_at)
    tried = try_placement(first, wanted)
    assert {breach.rule for breach in tried.may_waive} >= {"hours"}
    assert not tried.never
    with pytest.raises(HandRefused, match="say why"):
        move(first, wanted, ada, now)
    row = move(first, wanted, ada, now, reason="they came in early, by their own wish")
    new = post(row, seen_version=row.version, by=ada, now=now)
    assert {waiver.reason for waiver in Waiver.objects.all()} == {"they came in early, by their own wish"}
    assert Waiver.objects.filter(rule="hours", made_by=ada).exists()
    assert check_stored(new) == []


def test_water_below_her_draft_is_never_waived(now: datetime, ada: User) -> None:
    first = draft(now)
    job = launch_job(first)
    placed = first.plan.by_job()[job]
    problem = first.read.problem
    length = placed.ends_at - placed.starts_at
    per_day = problem.calendar.quarters_per_day
    day = placed.starts_at // per_day * per_day
    starts = (replace(placed, starts_at=at, ends_at=at + length) for at in range(day, day + per_day - length))
    dry = next(wanted for wanted in starts if too_low(first, wanted))
    with pytest.raises(HandRefused, match="no reason excuses") as refused:
        move(first, dry, ada, now, reason="we are in a hurry")
    assert any("the tide is predicted" in fault for fault in refused.value.faults)
    assert not HandDraft.objects.exists()


def test_a_person_in_two_places_is_never_waived_and_who_would_move_is_told(now: datetime, ada: User) -> None:
    first = draft(now)
    rows = first.plan.by_job()
    for job, placed in rows.items():
        other = next(
            (
                row
                for row in first.plan.placements
                if row.job != job
                and row.starts_at > first.read.problem.now
                and set(row.people) & set(placed.people)
                and first.read.problem.jobs[row.job].pausing == "fitted" == first.read.problem.jobs[job].pausing
            ),
            None,
        )
        if placed.starts_at <= first.read.problem.now or other is None:
            continue
        wanted = replace(placed, starts_at=other.starts_at, ends_at=other.starts_at + placed.ends_at - placed.starts_at)
        tried = try_placement(first, wanted)
        if any(breach.rule == "double_booking" for breach in tried.never):
            break
    assert any("at the same time" in breach.message for breach in tried.never)
    with pytest.raises(HandRefused, match="no reason excuses"):
        move(first, wanted, ada, now, reason="x")


def test_a_permit_that_is_missing_is_never_waived(now: datetime, ada: User) -> None:
    first = draft(now)
    job = indoor_job(first)
    row = Job.objects.get(pk=first.read.jobs[job])
    later = (first.read.axis.timeline.starts_at(first.plan.by_job()[job].starts_at) + timedelta(days=40)).date()
    fact = Fact.objects.create(
        kind="permit", name="permit", order=row.order, state="expected", expected_date=later, told_by="x", set_at=now
    )
    fact.jobs.add(row)
    plan_in_memory._kept.clear()
    second = draft(now)
    placed = second.plan.by_job()[second.read.jobs.index(row.pk)]
    wanted = replace(placed, starts_at=placed.starts_at + 1, ends_at=placed.ends_at + 1)
    tried = try_placement(second, wanted)
    assert [breach.rule for breach in tried.never if breach.rule == "release"] == ["release"]
    with pytest.raises(HandRefused, match="no reason excuses"):
        move(second, wanted, ada, now, reason="x")


def test_a_job_is_split_and_whole_again_when_undone(now: datetime, ada: User) -> None:
    first = draft(now)
    ways = {row.job: first.read.problem.jobs[row.job] for row in first.plan.placements}
    job = next(
        index
        for index, one in ways.items()
        if one.pausing == "fitted"
        and one.ways[0].duration_quarters >= 12
        and first.plan.by_job()[index].starts_at > first.read.problem.now
        and not Job.objects.get(pk=first.read.jobs[index]).kind.parts
    )
    pk = first.read.jobs[job]
    row = split(Job.objects.get(pk=pk), 60, "the light goes", seen_version=0, by=ada, now=now)
    rest = Job.objects.get(split_of=pk)
    second = draft(now)
    placed = second.plan.by_job()
    assert placed[second.read.jobs.index(rest.pk)].starts_at >= placed[second.read.jobs.index(pk)].ends_at
    row.refresh_from_db()
    undo(row, seen_version=row.version, by=ada, now=now)
    assert not Job.objects.filter(split_of=pk).exists()
    assert draft(now).plan.by_job()[first.read.jobs.index(pk)] == first.plan.by_job()[job]
    row.refresh_from_db()
    redo(row, seen_version=row.version, by=ada, now=now)
    again, whole = Job.objects.get(split_of=pk), draft(now)
    assert [way.duration_min for way in Job.objects.get(pk=pk).ways.all()] == [60]
    assert whole.read.jobs.index(again.pk) in whole.plan.by_job()
    row.refresh_from_db()
    new = post(row, seen_version=row.version, by=ada, now=now)
    assert new.planned_jobs.filter(job=again).exists()


def test_a_split_that_is_refused_leaves_nothing_in_memory(now: datetime, ada: User) -> None:
    first = draft(now)
    job = Job.objects.get(pk=first.read.jobs[indoor_job(first)])
    with pytest.raises(HandRefused, match="whole quarters"):
        split(job, 7, "", seen_version=0, by=ada, now=now)
    assert draft(now).read.jobs == first.read.jobs


def test_in_the_middle_of_a_day_the_mornings_work_stays_as_it_hung(now: datetime, ada: User) -> None:
    first = draft(now)
    began = first.read.axis.timeline.starts_at(min(row.starts_at for row in first.plan.placements))
    YardSettings.objects.update(clock_frozen_at=began + timedelta(minutes=15))
    later = clock()
    second = draft(later)
    row = move(second, offers(second.read.problem, second.plan, indoor_job(second))[0].placement, ada, later)
    new = post(row, seen_version=row.version, by=ada, now=later)
    assert new.planned_jobs.filter(starts_at=began).exists()
    assert check_stored(new) == []


def test_cut_off_while_posting_nothing_is_half_done(now: datetime, ada: User, monkeypatch: pytest.MonkeyPatch) -> None:
    first = draft(now)
    row = move(first, offers(first.read.problem, first.plan, indoor_job(first))[0].placement, ada, now, pins=True)

    def killed(*_args: object, **_more: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(change_by_hand, "write_pins", killed)  # after the plan was saved and posted
    with pytest.raises(KeyboardInterrupt):
        post(row, seen_version=row.version, by=ada, now=now)
    row.refresh_from_db()
    assert (row.state, Plan.objects.count(), Pin.objects.count()) == ("open", 1, 0)
    assert Plan.objects.get().state == "posted"


def test_dropped_it_leaves_nothing(now: datetime, ada: User) -> None:
    first = draft(now)
    one = offers(first.read.problem, first.plan, indoor_job(first))[0]
    row = move(first, one.placement, ada, now)
    drop(row, seen_version=row.version, by=ada, now=now)
    assert draft(now).plan == first.plan
    assert not PlannedJob.objects.filter(plan__note="changed by hand").exists()


def test_another_plan_posted_since_makes_it_stale(now: datetime, ada: User) -> None:
    first = draft(now)
    one = offers(first.read.problem, first.plan, indoor_job(first))[0]
    row = move(first, one.placement, ada, now)
    old = Plan.objects.get(state="posted")
    Plan.objects.filter(pk=old.pk).update(state="superseded")
    Plan.objects.create(state="posted", number=99, made_at=now, posted_at=now, facts_revision=0)
    with pytest.raises(HandRefused, match="Another plan"):
        post(row, seen_version=row.version, by=ada, now=now)
