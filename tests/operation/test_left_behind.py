"""What a worker that is gone had in hand: begun again where that is harmless, else said to have been cut off."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.db.models.functions import Now
from django.test.utils import CaptureQueriesContext
from django_tasks_db.models import DBTaskResult

from yard.management import background
from yard.management.background import new_worker, work
from yard.models import Plan, PlanBound, PlanRun, Proposal, Season, WorkerLease, YearEnd
from yard.services import asking, leases
from yard.services.left_behind import settle_left_behind
from yard.services.plan_runs import Asked, ask_for_plan
from yard.services.year_end import go_on
from yard.tasks import carry_out_sales_at, end_season, prove_bound, send_letters

NOW = datetime(2027, 5, 6, 12, 0, tzinfo=UTC)
pytestmark = pytest.mark.django_db


def lease(silent: timedelta = timedelta(0)) -> str:
    key = leases.take_lease("shed", 7)
    WorkerLease.objects.filter(key=key).update(heartbeat_at=Now() - silent)
    return key


def in_hand(*holders: str, path: str = send_letters.module_path, args: tuple[Any, ...] = ()) -> DBTaskResult:
    return DBTaskResult.objects.create(
        status="RUNNING",
        task_path=path,
        worker_ids=list(holders),
        backend_name="default",
        queue_name="default",
        args_kwargs={"args": list(args), "kwargs": {}},
        run_after=NOW,
        started_at=NOW,
        exception_class_path="",
        traceback="",
    )


def status(row: DBTaskResult) -> str:
    return DBTaskResult.objects.get(pk=row.pk).status


def run_in_hand(*holders: str, state: str = "running") -> tuple[PlanRun, DBTaskResult]:
    asked = ask_for_plan(seconds=60, seed=1, by=None, now=NOW)
    assert isinstance(asked, Asked)
    PlanRun.objects.filter(pk=asked.run.pk).update(state=state, heartbeat_at=NOW)
    DBTaskResult.objects.update(status="RUNNING", worker_ids=list(holders))
    return asked.run, DBTaskResult.objects.get()


@pytest.mark.parametrize(("silent_s", "left"), [(0, "RUNNING"), (50, "RUNNING"), (70, "READY")])
def test_what_a_living_worker_has_in_hand_is_left_alone(silent_s: int, left: str) -> None:
    row = in_hand(lease(timedelta(seconds=silent_s)))
    settle_left_behind()
    assert status(row) == left


def test_a_piece_under_which_two_workers_ended_is_given_up() -> None:
    once, twice = in_hand("gone"), in_hand("gone", "gone too")
    again = in_hand("gone", lease())
    assert settle_left_behind() == 2
    assert [status(row) for row in (once, twice, again)] == ["READY", "FAILED", "RUNNING"]
    assert settle_left_behind() == 0


@pytest.mark.parametrize("state", ["running", "stopping"])
def test_a_planning_run_is_never_begun_a_second_time(state: str) -> None:
    run, row = run_in_hand("gone", state=state)
    settle_left_behind()
    run.refresh_from_db()
    assert (run.state, run.ended_at, status(row)) == ("broken", NOW, "FAILED")
    assert "plan again" in run.error


def test_one_that_had_not_begun_waits_again_and_one_that_was_over_stays() -> None:
    run, row = run_in_hand("gone", state="queued")
    settle_left_behind()
    run.refresh_from_db()
    assert (run.state, status(row)) == ("queued", "READY")
    PlanRun.objects.update(state="done")
    DBTaskResult.objects.update(status="RUNNING", worker_ids=["gone"])
    settle_left_behind()
    run.refresh_from_db()
    assert run.state == "done"


def test_a_run_that_waits_its_turn_is_left_alone_and_one_without_a_task_is_ended() -> None:
    asked = ask_for_plan(seconds=60, seed=1, by=None, now=NOW)
    assert isinstance(asked, Asked)
    assert settle_left_behind() == 0
    asked.run.refresh_from_db()
    assert asked.run.state == "queued"
    DBTaskResult.objects.all().delete()
    assert settle_left_behind() == 1
    asked.run.refresh_from_db()
    assert asked.run.state == "broken"


def test_the_proposal_that_a_cut_off_run_was_to_make_is_said_to_have_failed() -> None:
    posted = Plan.objects.create(state="posted", number=1, made_at=NOW, posted_at=NOW, facts_revision=0)
    run, _ = run_in_hand("gone")
    proposal = Proposal.objects.create(based_on=posted, asked_at=NOW, run=run)
    settle_left_behind()
    proposal.refresh_from_db()
    assert proposal.state == "failed"


def test_a_question_about_a_plan_is_asked_once_more_and_then_given_up() -> None:
    plan = Plan.objects.create(made_at=NOW, facts_revision=0)
    row = PlanBound.objects.create(plan=plan, asked_at=NOW, state="working", heartbeat_at=NOW)
    task = in_hand("gone", path=prove_bound.module_path, args=(row.pk,))
    settle_left_behind()
    row.refresh_from_db()
    assert (row.state, status(task)) == ("asked", "READY")
    PlanBound.objects.update(state="working", heartbeat_at=NOW)
    DBTaskResult.objects.update(status="RUNNING", worker_ids=["gone", "gone too"])
    settle_left_behind()
    row.refresh_from_db()
    assert (row.state, row.error, status(task)) == ("failed", asking.CUT_OFF, "FAILED")


def test_a_years_end_stops_and_a_person_goes_on_with_it() -> None:
    season, after = (
        Season.objects.create(name=str(year), starts_on=date(year, 1, 1), ends_on=date(year + 1, 1, 1))
        for year in (2027, 2028)
    )
    row = YearEnd.objects.create(season=season, into=after, form_key=uuid4(), asked_at=NOW, heartbeat_at=NOW)
    YearEnd.objects.update(state="running")
    task = in_hand("gone", path=end_season.module_path, args=(row.pk,))
    settle_left_behind()
    row.refresh_from_db()
    assert (row.state, status(task)) == ("stopped", "FAILED")
    assert "go on with it, or take it back" in row.trouble
    assert go_on(row, real_now=NOW).state == "queued"


def test_what_another_takes_up_at_this_moment_is_not_deleted() -> None:
    """Each is one statement that asks and deletes: a sign, or a claim, that comes between the two is seen."""
    lease(timedelta(seconds=70))
    with CaptureQueriesContext(connection) as asked:
        assert leases.end_silent() == 1
    assert [query["sql"].split()[0] for query in asked] == ["DELETE"]
    carry_out_sales_at(NOW)
    with CaptureQueriesContext(connection) as asked:
        carry_out_sales_at(NOW + timedelta(days=1))
    (delete,) = [query["sql"] for query in asked if query["sql"].startswith("DELETE")]
    assert "READY" in delete
    assert DBTaskResult.objects.get().run_after == NOW + timedelta(days=1)


def test_a_worker_without_its_lease_claims_nothing() -> None:
    key = lease()
    leases.end_all()
    with pytest.raises(leases.LeaseLost):
        leases.may_claim(key)
    with pytest.raises(leases.LeaseLost):
        leases.renew(key)


def test_a_worker_whose_last_sign_is_old_claims_nothing_until_it_gives_one() -> None:
    key = lease(timedelta(seconds=40))
    assert not leases.may_claim(key)
    leases.renew(key)
    assert leases.may_claim(key)
    assert leases.somebody_works()


@pytest.mark.django_db(transaction=True)
def test_a_worker_that_lost_its_lease_begins_anew_under_another(monkeypatch: pytest.MonkeyPatch) -> None:
    """As one does that stood still for a minute, while another ended its lease."""
    monkeypatch.setattr(background, "BEAT_EVERY_S", 0.01)
    worker, keys = new_worker(), []

    def look(self: object) -> None:
        keys.append(worker.worker_id)
        if len(keys) == 1:
            leases.end_all()
            assert worker.lost.wait(30), "its thread finds out"
            assert background.worker_is_leaving.is_set(), "a planning run in hand need not go on"
        else:
            assert not background.worker_is_leaving.is_set()
            worker.running = False

    monkeypatch.setattr(type(worker), "_claimed", look)
    work(worker, alone=False)
    assert len(set(keys)) == 2
    assert not WorkerLease.objects.exists(), "who ends gives its lease back"
