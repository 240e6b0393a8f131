"""A planning run from asking to its end: one at a time, never twice, stopped with the best, or ended with a reason."""

from datetime import UTC, datetime, timedelta

import pytest
from django_tasks_db.models import DBTaskResult

from tests.operation.small_yard import make_small_yard
from yard.management.background import new_worker, work
from yard.models import Plan, PlanBound, PlanRun
from yard.services import carry_out_run, plan_runs
from yard.services.asking import is_lost
from yard.services.carry_out_run import carry_out
from yard.services.plan_runs import AlreadyPlanning, Asked, ask_for_plan, lost, progress, stop

NOW = datetime(2027, 5, 6, 12, 0, tzinfo=UTC)
pytestmark = pytest.mark.django_db


class Clock:
    """Real seconds from NOW on; `then` is called with the number of each reading, to do what others do meanwhile."""

    def __init__(self, then=lambda count: None, step_s: float = 1.0) -> None:
        self.count, self.then, self.step = 0, then, timedelta(seconds=step_s)

    def __call__(self) -> datetime:
        self.count += 1
        self.then(self.count)
        return NOW + self.count * self.step


@pytest.fixture
def small_yard():
    make_small_yard()


@pytest.fixture
def planner(settings):
    """`planner("slow")`: which planner stands in."""

    def choose(name: str) -> None:
        settings.PLAN_SOLVER = f"tests.operation.solvers.{name}"

    return choose


def asked(seconds: int = 60, by=None) -> PlanRun:
    answer = ask_for_plan(seconds=seconds, seed=1, by=by, now=NOW)
    assert isinstance(answer, Asked)
    return answer.run


def carried_out(run: PlanRun, clock=None, should_leave=lambda: False) -> PlanRun:
    carry_out(run.pk, clock=clock or Clock(), should_leave=should_leave)
    run.refresh_from_db()
    return run


def test_a_run_from_asking_to_its_plan(cast, small_yard, planner):
    planner("quick")
    run = asked(by=cast.ada)
    assert progress(run, now=NOW).sentence == "Waiting to begin."
    run = carried_out(run)
    assert (run.state, run.error, run.progress["ended"]) == ("done", "", "proved")
    assert run.started_at < run.ended_at
    assert run.result == Plan.objects.get()
    assert run.result.made_by == cast.ada
    told = progress(run, now=NOW)
    assert (told.sentence, told.active, told.can_stop) == ("Done: no plan costs less.", False, False)


@pytest.mark.django_db(transaction=True)
def test_the_task_does_it(small_yard, planner):
    planner("quick")
    run = asked()
    work(new_worker(batch=True), alone=True)
    run.refresh_from_db()
    assert run.state == "done"
    assert DBTaskResult.objects.get().status == "SUCCESSFUL"


def test_one_at_a_time(small_yard):
    run = asked()
    match ask_for_plan(seconds=10, seed=2, by=None, now=NOW):
        case AlreadyPlanning(other):
            assert other == run
        case answer:
            raise AssertionError(answer)
    assert PlanRun.objects.count() == DBTaskResult.objects.count() == 1


def test_time_out_of_range_is_refused():
    for seconds in (0, 3601):
        with pytest.raises(ValueError, match="1 to 3600"):
            ask_for_plan(seconds=seconds, seed=1, by=None, now=NOW)


def test_a_run_is_never_carried_out_twice(small_yard, planner):
    planner("quick")
    run = carried_out(asked())
    for state in ("done", "running", "stopping", "failed", "broken"):
        PlanRun.objects.filter(pk=run.pk).update(state=state)
        assert carried_out(run).state == state
    assert Plan.objects.count() == 1


def test_stopped_from_the_page_it_keeps_the_best(small_yard, planner):
    planner("slow")
    run = asked(seconds=600)
    clock = Clock(lambda count: stop(run, now=NOW) if count == 4 else None)
    run = carried_out(run, clock)
    assert (run.state, run.stop_asked, run.progress["ended"]) == ("done", True, "stopped")
    assert run.result is not None
    assert run.progress["cost"] == 100
    assert progress(run, now=NOW).sentence == "Stopped early, and the best plan so far is kept."


def test_a_worker_that_is_told_to_end_keeps_the_best(small_yard, planner):
    planner("slow")
    run = carried_out(asked(seconds=600), should_leave=lambda: True)
    assert (run.state, run.progress["ended"]) == ("done", "stopped")
    assert run.result is not None


def test_stopped_before_it_began_it_never_begins(small_yard, planner):
    planner("quick")
    run = asked()
    assert stop(run, now=NOW)
    run = carried_out(run)
    assert (run.state, run.error) == ("failed", "It was stopped before it began.")
    assert not stop(run, now=NOW)
    assert not Plan.objects.exists()


def test_stopped_without_a_plan_yet(small_yard, planner):
    planner("empty_handed")
    run = carried_out(asked(seconds=600), should_leave=lambda: True)
    assert (run.state, run.error) == ("failed", "Stopped before a first plan was found.")


@pytest.mark.parametrize(
    ("solver", "text", "ended"),
    [
        ("impossible", "No plan can place every boat: Wagtail needs 17 ft and no tide has it", "infeasible"),
        ("empty_handed", "No plan was found in 1 s, and none is ruled out: give it more time.", "out_of_time"),
        ("failing", "The planner failed and nothing was changed: ZeroDivisionError: a fault of ours.", "error"),
        ("dying", "The planner failed and nothing was changed: the planner's process ended by itself", "error"),
    ],
)
def test_each_ending_has_its_own_sentence(small_yard, planner, solver, text, ended):
    planner(solver)
    run = carried_out(asked(seconds=1))
    assert run.state == "failed"
    assert run.error.startswith(text)
    assert run.progress["ended"] == ended
    assert progress(run, now=NOW).sentence == run.error
    assert not Plan.objects.exists()


def test_a_planner_that_hears_nothing_is_cut_off(small_yard, planner, monkeypatch):
    planner("deaf")
    monkeypatch.setattr(carry_out_run, "START_S", 1)
    run = carried_out(asked(seconds=1))
    assert run.state == "failed"
    assert "did not end by itself" in run.error


def test_and_after_being_told_to_stop(small_yard, planner, monkeypatch):
    planner("deaf")
    monkeypatch.setattr(carry_out_run, "STOP_S", 1)
    run = carried_out(asked(seconds=600), should_leave=lambda: True)
    assert (run.state, run.progress["ended"]) == ("failed", "overran")


def test_a_yard_without_facts_says_what_is_missing(planner):
    planner("quick")
    run = carried_out(asked())
    assert (run.state, run.progress["ended"]) == ("failed", "not_ready")
    assert "settings" in run.error


def test_a_plan_that_the_facts_refuse_is_not_saved(small_yard, planner, monkeypatch):
    def refuse(*args):
        raise carry_out_run.PlanRefused(["Ben is away on Friday"])

    planner("quick")
    monkeypatch.setattr(carry_out_run, "save_plan", refuse)
    run = carried_out(asked())
    assert (run.state, run.progress["ended"]) == ("failed", "refused")
    assert "Ben is away on Friday" in run.error


def test_a_fault_of_ours_leaves_a_broken_run_and_no_plan(small_yard, planner, monkeypatch):
    saved = carry_out_run.save_plan

    def save_then_fail(*args):
        saved(*args)
        raise RuntimeError("after the plan was written")

    planner("quick")
    monkeypatch.setattr(carry_out_run, "save_plan", save_then_fail)
    run = asked()
    with pytest.raises(RuntimeError):
        carried_out(run)
    run.refresh_from_db()
    assert (run.state, run.result) == ("broken", None)
    assert not Plan.objects.exists(), "a plan and its run are saved together or not at all"


def test_a_run_marked_broken_meanwhile_saves_nothing(small_yard, planner):
    planner("slow")
    run = asked(seconds=600)
    clock = Clock(lambda count: plan_runs.mark_broken(PlanRun.objects.all()) if count == 4 else None)
    run = carried_out(run, clock)
    assert (run.state, run.result) == ("broken", None)
    assert not Plan.objects.exists()


def test_a_run_whose_heartbeat_is_old_is_shown_broken_and_makes_room():
    run = asked()
    PlanRun.objects.filter(pk=run.pk).update(state="running", heartbeat_at=NOW, progress={"cost": 5})
    run.refresh_from_db()
    soon, late = NOW + timedelta(seconds=60), NOW + timedelta(seconds=61)
    assert progress(run, now=soon).state == "running"
    assert not lost(now=soon).exists()
    told = progress(run, now=late)
    assert (told.state, told.active, told.can_stop) == ("broken", False, False)
    assert "plan again" in told.sentence
    assert isinstance(ask_for_plan(seconds=10, seed=1, by=None, now=late), Asked)
    run.refresh_from_db()
    assert (run.state, run.ended_at) == ("broken", NOW)


def test_a_clock_set_back_does_not_keep_a_dead_run_alive():
    """It died with a heartbeat that lies an hour ahead by the clock as it goes now."""
    run = asked()
    PlanRun.objects.filter(pk=run.pk).update(state="running", heartbeat_at=NOW)
    run.refresh_from_db()
    slipped, set_back = NOW - timedelta(seconds=60), NOW - timedelta(hours=1)
    assert (progress(run, now=slipped).state, lost(now=slipped).exists()) == ("running", False)
    assert (progress(run, now=set_back).state, lost(now=set_back).exists()) == ("broken", True)
    assert isinstance(ask_for_plan(seconds=10, seed=1, by=None, now=set_back), Asked)


def test_whoever_works_beats_anew_by_a_clock_that_was_set_back():
    run = PlanRun(heartbeat_at=NOW)
    due = carry_out_run._beat_is_due
    assert (due(run, lambda: NOW), due(run, lambda: NOW - timedelta(hours=1))) == (False, True)


@pytest.mark.parametrize(("away_s", "is_it"), [(-3600, True), (-119, False), (119, False), (121, True)])
def test_a_question_is_lost_by_any_clock(away_s, is_it):
    row = PlanBound(state="working", heartbeat_at=NOW)
    assert is_lost(row, NOW + timedelta(seconds=away_s)) is is_it


def test_a_run_that_nobody_takes_up_says_so():
    run = asked()
    assert "Is the worker running?" in progress(run, now=NOW + timedelta(seconds=16)).sentence
    assert progress(run, now=NOW + timedelta(seconds=16)).can_stop


def test_how_much_of_its_time_is_used():
    run = PlanRun(state="running", asked_at=NOW, heartbeat_at=NOW, seconds_limit=60, progress={"elapsed_s": 15.0})
    assert progress(run, now=NOW).share_of_time == 0.25
    run.progress = {}
    assert progress(run, now=NOW).share_of_time == 0.0


def test_with_the_real_planner(small_yard):
    run = carried_out(asked(seconds=5))
    assert (run.state, run.error) == ("done", "")
    assert run.result == Plan.objects.get()
