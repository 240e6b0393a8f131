"""Four workers over one PostgreSQL, really started; one is killed with a planning run in hand, one with a short piece.

What is asked: each piece is done once, none is begun twice but what a killed worker had in hand, and the planning run
is begun once and never again.
"""

from __future__ import annotations

import os
import signal
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.db.models.functions import Now
from django.utils import timezone
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from tests.operation import pieces
from tests.operation.background import Folder, address_of_test_database, until
from tests.operation.small_yard import make_small_yard
from yard.models import Plan, PlanRun, WorkerLease
from yard.services.leases import LEASE
from yard.services.plan_runs import Asked, ask_for_plan

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(connection.vendor != "postgresql", reason="over SQLite one worker works: see test_worker.py"),
]
WORKERS, PIECES = 4, 200


@pytest.fixture
def tables(transactional_db: None) -> Iterator[None]:
    with connection.cursor() as cursor:
        for statement in (*pieces.DROP, *pieces.TABLES):
            cursor.execute(statement)
    yield
    with connection.cursor() as cursor:
        for statement in pieces.DROP:
            cursor.execute(statement)


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Folder]:
    """Its workers are on the database of this run of tests."""
    made = Folder(tmp_path, solver="deaf", database=address_of_test_database())
    yield made
    made.kill_all()


def rows(query: str) -> list[Any]:
    with connection.cursor() as cursor:
        cursor.execute(query)
        return cursor.fetchall()


def test_each_piece_is_done_once_and_a_planning_run_never_twice(tables: None, folder: Folder) -> None:
    make_small_yard()
    asked = ask_for_plan(seconds=600, seed=1, by=None, now=timezone.now())
    assert isinstance(asked, Asked)
    workers = {process.pid: process for process in (folder.start("worker") for _ in range(WORKERS))}
    until(lambda: WorkerLease.objects.count() == WORKERS, what="four workers, each with its lease")
    until(lambda: PlanRun.objects.filter(state="running", progress__cost=100).exists(), what="the planning run goes on")
    planner = holder_of(DBTaskResult.objects.get())

    for number in range(PIECES):
        pieces.short.enqueue(number)
    until(lambda: rows("SELECT count(*) FROM piece_done")[0][0] > PIECES // 8)
    killed, begun_by_it = kill_one_with_a_piece_in_hand(set(workers) - {planner})
    os.kill(planner, signal.SIGKILL)
    for pid in (killed, planner):
        workers[pid].wait()
    left_by = {pk for pk, row in running().items() if holder_of(row) in (killed, planner)}
    assert len(left_by) == 2
    until(lambda: not DBTaskResult.objects.ready().exists() and len(running()) == 2, what="all else is done")
    assert set(running()) == left_by, "what the dead had in hand is theirs as long as their leases last"

    WorkerLease.objects.filter(process__in=[killed, planner]).update(heartbeat_at=Now() - LEASE * 1.5)
    # Asked at once: between two questions a piece that waits could be taken in hand, and be in neither answer.
    unfinished = DBTaskResult.objects.filter(status__in=[TaskResultStatus.READY, TaskResultStatus.RUNNING])
    until(lambda: not unfinished.exists(), what="it is settled by those who live")
    begun = Counter(piece for (piece,) in rows("SELECT piece FROM piece_begun"))
    done = Counter(piece for (piece,) in rows("SELECT piece FROM piece_done"))
    assert done == Counter(range(PIECES))
    twice = {piece: count for piece, count in begun.items() if count > 1}
    assert twice == {begun_by_it: 2}, "only what a killed worker had in hand is begun again"
    shares = Counter(process for (process,) in rows("SELECT process FROM piece_done"))
    assert len(set(shares) - {killed}) >= 2, "the work was shared"

    run = PlanRun.objects.get()
    assert (run.state, run.result, Plan.objects.count()) == ("broken", None, 0)
    assert "plan again" in run.error
    assert Counter(DBTaskResult.objects.values_list("status", flat=True)) == {"SUCCESSFUL": PIECES, "FAILED": 1}


def running() -> dict[Any, DBTaskResult]:
    return {row.pk: row for row in DBTaskResult.objects.running()}


def holder_of(row: DBTaskResult) -> int:
    return WorkerLease.objects.get(key=row.worker_ids[-1]).process


def kill_one_with_a_piece_in_hand(among: set[int]) -> tuple[int, int]:
    """Its process and its piece. Stopped first, so that it is seen what it had in hand: begun and not done."""
    while True:
        for pid in among:
            os.kill(pid, signal.SIGSTOP)
            begun = [row.args_kwargs["args"][0] for row in running().values() if holder_of(row) == pid]
            if (
                begun
                and rows(f"SELECT 1 FROM piece_begun WHERE piece = {begun[0]}")
                and not rows(f"SELECT 1 FROM piece_done WHERE piece = {begun[0]}")
            ):
                os.kill(pid, signal.SIGKILL)
                return pid, begun[0]
            os.kill(pid, signal.SIGCONT)
