"""The background worker as a process: killed, stopped, locked out. Each test has a yard in a folder of its own."""

from __future__ import annotations

import signal
import sqlite3
import time
from contextlib import closing

from tests.operation.background import ASK, Folder, children, command_of, end, said, until
from tests.operation.test_plan_process import gone

STATE = "SELECT state, error, result_id, heartbeat_at, progress FROM yard_planrun ORDER BY id DESC"


def state(folder: Folder) -> str:
    return folder.row(STATE)[0]


def plans(folder: Folder) -> int:
    return folder.row("SELECT count(*) FROM yard_plan")[0]


def under_way(folder: Folder) -> bool:
    return '"cost": 100' in folder.row(STATE)[4]


def test_killed_in_a_run_it_leaves_a_broken_run_no_plan_and_no_process(asked):
    folder = asked
    folder.solver = "deaf"  # one that would go on for ever
    worker = folder.worker()
    until(lambda: under_way(folder), what="progress in the run's row")
    planner = next(child for child in children(worker.pid) if "multiprocessing.spawn" in command_of(child))
    worker.kill()
    worker.wait()
    assert gone(planner), "the planner dies with the worker"
    assert (state(folder), plans(folder)) == ("running", 0), "nobody has said anything yet"

    folder.solver = "quick"  # it would be done at once if it were taken up again
    folder.run("worker", "--skip-checks", "--batch")
    row = folder.row(STATE)
    assert (row[0], row[2], plans(folder)) == ("broken", None, 0)
    assert "plan again" in row[1]
    assert folder.row("SELECT status FROM django_tasks_database_dbtaskresult")[0] == "FAILED"

    folder.python(ASK)
    folder.run("worker", "--skip-checks", "--batch")
    assert (state(folder), plans(folder)) == ("done", 1), "and the next one that is asked for is made"


def test_a_heartbeat_comes_about_once_a_second(asked):
    asked.worker()
    until(lambda: under_way(asked))
    seen, until_s = set(), time.monotonic() + 4
    while time.monotonic() < until_s:
        seen.add(asked.row(STATE)[3])
        time.sleep(0.05)
    assert 3 <= len(seen) <= 6, seen


def test_told_to_end_it_keeps_the_best_plan(asked):
    worker = asked.worker()
    until(lambda: under_way(asked))
    asked_at = time.monotonic()
    text = end(worker)
    assert worker.returncode == 0, text
    assert time.monotonic() - asked_at < 10
    assert (state(asked), plans(asked)) == ("done", 1)


def test_told_to_end_twice_it_ends_at_once_and_the_run_is_broken(asked):
    asked.solver = "deaf"
    worker = asked.worker()
    until(lambda: state(asked) == "running")
    worker.send_signal(signal.SIGTERM)
    until(lambda: state(asked) == "stopping", what="the first signal is heard")
    end(worker)
    assert (state(asked), plans(asked)) == ("broken", 0)


def test_idle_it_ends_at_once(folder):
    worker = folder.worker()
    until(lambda: (folder.path / "worker.lock").exists())
    time.sleep(1)
    end(worker, signal.SIGINT)
    assert worker.returncode == 0


def test_a_second_worker_refuses(folder):
    first = folder.worker()
    until(lambda: (folder.path / "worker.lock").exists())
    time.sleep(0.5)
    second = folder.worker()
    assert "A worker runs already" in said(second)
    assert second.returncode == 1
    first.kill()
    first.wait()
    assert folder.run("worker", "--skip-checks", "--batch") == "", "a killed worker's lock is free"


def test_a_locked_database_does_not_end_it(folder):
    """Longer than the timeout of 1 s that these settings have; the stock worker ends there."""
    folder.solver = "quick"
    worker = folder.worker()
    until(lambda: (folder.path / "worker.lock").exists())
    time.sleep(1)
    with closing(sqlite3.connect(folder.path / "yard.sqlite3", isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        time.sleep(4)
        other.execute("ROLLBACK")
    assert worker.poll() is None
    folder.python(ASK)
    until(lambda: state(folder) == "done")


def test_a_database_locked_in_a_run_costs_seconds_of_its_progress_only(asked):
    asked.change("UPDATE yard_planrun SET seconds_limit = 8")
    asked.worker()
    until(lambda: under_way(asked))
    with closing(sqlite3.connect(asked.path / "yard.sqlite3", isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        time.sleep(3)
        other.execute("ROLLBACK")
    until(lambda: state(asked) == "done", within_s=20)
    assert plans(asked) == 1
