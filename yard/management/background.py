"""The background worker: one to a data folder, and what a killed one left behind.

Around the Worker of django-tasks-db 0.13, which is no public API: the version is pinned and tests/operation proves
what is relied on.  It adds what that one lacks: a second worker refuses to start; work that a killed worker had in
hand is settled; a locked database does not end it; and told to end, it stops a planning run and keeps its best plan.
"""

from __future__ import annotations

import fcntl
import logging
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from types import FrameType
from typing import Any

from django.db import OperationalError, connections
from django.utils import timezone
from django_tasks import TaskResultStatus
from django_tasks_db.management.commands.db_worker import Worker
from django_tasks_db.models import DBTaskResult

from yard.models import PlanRun
from yard.services import plan_runs
from yard.tasks import come_again_for_forecast, run_plan, worker_is_leaving

log = logging.getLogger(__name__)

WORKER_ID = "main"
MOST_TRIES = 2
KEEP_RESULTS = timedelta(days=14)


class AnotherWorker(Exception):
    """A worker runs already on this data folder."""


class WorkerKilled(Exception):
    """The worker that had this task in hand ended before the task did."""


@contextmanager
def only_worker(lock_file: Path) -> Iterator[None]:
    """Hold the lock as long as the context lasts. The kernel gives it back however this process ends."""
    lock_file.parent.mkdir(parents=True, exist_ok=True)
    with lock_file.open("w") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise AnotherWorker from None
        yield


class YardWorker(Worker):
    """Told to end while a plan is being made, it lets the planner stop and keep the best."""

    def shutdown(self, signum: int, frame: FrameType | None) -> None:
        worker_is_leaving.set()
        super().shutdown(signum, frame)


def new_worker(*, batch: bool = False) -> YardWorker:
    """batch: end when there is nothing left to do."""
    return YardWorker(
        queue_names=["*"],
        interval=0.0 if batch else 0.5,
        batch=batch,
        backend_name="default",
        startup_delay=False,
        max_tasks=None,
        worker_id=WORKER_ID,
        excluded_queue_names=[],
    )


def work(worker: YardWorker) -> None:
    """Run until told to end. A database that fails is waited for, and what was in hand then is settled."""
    while worker.running:
        try:
            settle_left_behind()
            come_again_for_forecast()
            worker.run()
            return
        except OperationalError as error:
            log.warning("the database failed (%s); trying again", error)
            connections.close_all()
            time.sleep(1)


def settle_left_behind() -> None:
    """Settle the tasks and runs that nobody works on. To be called by the only worker, with nothing in hand.

    A planning run is never repeated by itself: it is marked broken, and whoever wants a plan asks for one.  Other
    tasks are safe to run twice; they are tried once more.
    """
    for row in DBTaskResult.objects.running():
        if row.worker_ids[-1:] != [WORKER_ID]:
            continue
        if row.task_path == run_plan.module_path or len(row.worker_ids) >= MOST_TRIES:
            row.set_failed(WorkerKilled("the worker ended before this was done"))
        else:
            DBTaskResult.objects.filter(pk=row.pk).update(status=TaskResultStatus.READY, started_at=None)
    plan_runs.mark_broken(PlanRun.objects.filter(state__in=plan_runs.IN_HAND))
    waiting = {
        _run_id(row.args_kwargs)
        for row in DBTaskResult.objects.filter(task_path=run_plan.module_path, status=TaskResultStatus.READY)
    }
    plan_runs.mark_broken(PlanRun.objects.filter(state=PlanRun.State.QUEUED).exclude(pk__in=waiting))
    DBTaskResult.objects.finished().filter(finished_at__lt=timezone.now() - KEEP_RESULTS).delete()


def _run_id(args_kwargs: dict[str, Any]) -> int:
    return int(args_kwargs["args"][0])
