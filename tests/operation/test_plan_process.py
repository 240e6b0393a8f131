"""The planner's process: what comes back, and that it goes when it should."""

import os
import threading
import time
from pathlib import Path

import pytest

from yard import speech
from yard.apps import yards_tongue
from yard.planning.plan import Infeasible, Planned
from yard.planning.problem import Calendar, Problem, write_problem_json
from yard.services.plan_process import Broke, Finished, Message, PlanProcess, Progressed, SolveOrder

EMPTY = Problem(
    calendar=Calendar(epoch="2027-05-06T00:00:00+00:00", quarters_per_day=4, day_starts=(0,)),
    people=(),
    places=(),
    window_sets=(),
    boats=(),
    orders=(),
    jobs=(),
)


def order(solver: str, seconds: int = 60, problem: bytes = write_problem_json(EMPTY)) -> SolveOrder:
    return SolveOrder(problem=problem, seconds=seconds, seed=1, solver=f"tests.operation.solvers.{solver}")


def last_of(process: PlanProcess) -> Message:
    deadline = time.monotonic() + 30
    while time.monotonic() < deadline:
        match process.message(1.0):
            case Finished() | Broke() as ending:
                return ending
    raise AssertionError("the planner's process did not end")


def runs(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False


def gone(pid: int, within_s: float = 60.0) -> bool:
    deadline = time.monotonic() + within_s
    while runs(pid) and time.monotonic() < deadline:
        time.sleep(0.02)
    return not runs(pid)


def test_a_plan_comes_back_after_its_progress():
    with PlanProcess(order("quick")) as process:
        first = process.message(30)
        assert isinstance(first, Progressed)
        assert first.progress == {
            "elapsed_s": 0.0,
            "cost": 7,
            "late_orders": 1,
            "left_out": 0,
            "phase": "first plan",
            "rounds": 0,
        }
        match process.message(30):
            case Finished(Planned(ended="proved")):
                pass
            case other:
                raise AssertionError(other)


def test_time_is_kept():
    with PlanProcess(order("slow", seconds=1)) as process:
        ending = last_of(process)
    assert isinstance(ending, Finished)
    assert isinstance(ending.result, Planned)
    assert ending.result.ended == "time"


def test_told_to_stop_it_gives_the_best_so_far():
    with PlanProcess(order("slow", seconds=600)) as process:
        assert isinstance(process.message(30), Progressed)
        process.ask_to_stop()
        asked_at = time.monotonic()
        ending = last_of(process)
        took_s = time.monotonic() - asked_at
    assert isinstance(ending, Finished)
    assert isinstance(ending.result, Planned)
    assert ending.result.ended == "stopped"
    assert took_s < 2


def test_impossible_is_an_answer():
    with PlanProcess(order("impossible")) as process:
        assert last_of(process) == Finished(Infeasible(("Wagtail needs 17 ft and no tide has it",), 1.0))


def test_an_exception_is_told_with_its_trace():
    with PlanProcess(order("failing")) as process:
        ending = last_of(process)
    assert isinstance(ending, Broke)
    assert ending.reason == "ZeroDivisionError: a fault of ours"
    assert "solvers.py" in ending.trace


def test_a_problem_that_cannot_be_read_is_told():
    with PlanProcess(order("quick", problem=b'{"calendar": 3}')) as process:
        ending = last_of(process)
    assert isinstance(ending, Broke)
    assert ending.reason.startswith("ProblemInvalid")


def test_a_process_that_dies_is_told_at_once():
    with PlanProcess(order("dying")) as process:
        assert last_of(process) == Broke("the planner's process ended by itself (exit code 9)")


def test_a_killed_process_is_told_at_once():
    with PlanProcess(order("deaf")) as process:
        assert process.pid is not None
        os.kill(process.pid, 9)
        assert last_of(process) == Broke("the planner's process ended by itself (exit code -9)")


DIES_BEFORE_IT_READS = """import os, sys
if any("spawn_main" in word for word in sys.orig_argv):
    os._exit(7)
"""


def test_a_process_that_dies_before_it_read_a_large_problem_is_told(monkeypatch, tmp_path):
    (tmp_path / "sitecustomize.py").write_text(DIES_BEFORE_IT_READS)
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    told: list[Message] = []

    def ask() -> None:
        with PlanProcess(order("quick", problem=b" " * 4_000_000)) as process:
            told.append(last_of(process))

    asking = threading.Thread(target=ask, daemon=True)
    asking.start()
    asking.join(30)
    assert told == [Broke("the planner's process ended by itself (exit code 7)")]


def test_leaving_kills_it_and_what_it_started():
    with PlanProcess(order("with_children")) as process:
        message = process.message(30)
        assert isinstance(message, Progressed)
        child, grandchild = process.pid, message.progress["cost"]
        assert runs(child)
        assert runs(grandchild)
    assert gone(child)
    assert gone(grandchild)


def test_an_error_while_it_runs_kills_it_too():
    with pytest.raises(RuntimeError, match="ours"), PlanProcess(order("deaf")) as process:
        raise RuntimeError("ours")
    assert gone(process.pid)


def test_the_planner_speaks_the_yards_language_without_django(monkeypatch, settings):
    """By Django's own German catalogue, found as Django would find it."""
    settings.LANGUAGE_CODE = "de"
    tongue = yards_tongue()
    assert tongue.catalogues[-1].endswith("/conf/locale/de/LC_MESSAGES/django.mo")
    monkeypatch.setattr(speech._voice, "tongue", tongue)
    with PlanProcess(order("speaking")) as process:
        ending = last_of(process)
    assert isinstance(ending, Broke)
    assert ending.reason == "ValueError: Donnerstag, 1,5"
