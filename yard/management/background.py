"""The background worker: how it takes pieces of work up under a lease, and shows that it lives.

Around the Worker of django-tasks-db 0.13, which is no public API: the version is pinned and tests/operation proves
what is relied on. Over PostgreSQL any number of workers share the queue; over SQLite one works on a data folder and a
second refuses to start. A locked database does not end a worker; told to end, it stops a planning run and keeps its
best plan.
"""

from __future__ import annotations

import fcntl
import logging
import os
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import FrameType

from django.db import Error, InterfaceError, OperationalError, close_old_connections, connections
from django_tasks_db.management.commands.db_worker import Worker
from django_tasks_db.models import DBTaskResult
from django_tasks_db.utils import exclusive_transaction

from yard.services import leases
from yard.services.leases import LeaseLost
from yard.services.left_behind import drop_old_results, settle_left_behind
from yard.tasks import come_again_for_forecast, worker_is_leaving

log = logging.getLogger(__name__)

BEAT_EVERY_S = 5.0
SETTLE_EVERY_BEATS = 3
LOOK_EVERY_S = 0.5


class AnotherWorker(Exception):
    """A worker runs already on this data folder."""


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
    """Claims one piece at a time, under a lease that holds. worker_id: the key of that lease."""

    lost: threading.Event

    def shutdown(self, signum: int, frame: FrameType | None) -> None:
        """Told to end while a plan is being made, it lets the planner stop and keep the best."""
        worker_is_leaving.set()
        super().shutdown(signum, frame)

    def run(self) -> None:
        """Until told to end; a batch, until nothing is left to do. Raises LeaseLost."""
        while self.running:
            if self.lost.is_set():
                raise LeaseLost(self.worker_id)
            close_old_connections()
            if (row := self._claimed()) is not None:
                self.run_task(row)
            elif self.batch:
                return
            elif self.running:
                time.sleep(self.interval)

    def _claimed(self) -> DBTaskResult | None:
        """The next piece, which is nobody else's from now on. The lease is asked for in the transaction that claims."""
        ready = DBTaskResult.objects.ready().filter(backend_name=self.backend_name)
        if not ready.exists():  # without a lock: an idle worker is in nobody's way
            return None
        with exclusive_transaction():
            if not leases.may_claim(self.worker_id):
                return None
            row: DBTaskResult | None = ready.get_locked()
            if row is not None:
                row.claim(self.worker_id)
        return row


def new_worker(*, batch: bool = False) -> YardWorker:
    """batch: end when there is nothing left to do."""
    return YardWorker(
        queue_names=["*"],
        interval=0.0 if batch else LOOK_EVERY_S,
        batch=batch,
        backend_name="default",
        startup_delay=False,
        max_tasks=None,
        worker_id="",
        excluded_queue_names=[],
    )


def work(worker: YardWorker, *, alone: bool) -> None:
    """Run until told to end, under one lease after another: a database that fails is waited for, and what was in hand
    then is settled.

    alone: it is known that nobody else works on this database, so that what was left behind need not run out first.
    """
    while worker.running:
        try:
            if alone:
                leases.end_all()
            with _lease() as (worker.worker_id, worker.lost):
                settle_left_behind()
                drop_old_results()
                come_again_for_forecast()
                worker.run()
            return
        except LeaseLost:
            log.warning("this worker gave no sign for too long; it begins anew")
            if worker.running:
                worker_is_leaving.clear()
        except (InterfaceError, OperationalError) as error:
            log.warning("the database failed (%s); trying again", error)
            connections.close_all()
            time.sleep(1)


@contextmanager
def _lease() -> Iterator[tuple[str, threading.Event]]:
    """A lease that is renewed by a thread as long as the context lasts, for a piece may take minutes; and its loss."""
    key = leases.take_lease(socket.gethostname(), os.getpid())
    ended, lost = threading.Event(), threading.Event()
    thread = threading.Thread(target=_keep_alive, args=(key, ended, lost), name="lease", daemon=True)
    thread.start()
    try:
        yield key, lost
    finally:
        ended.set()
        thread.join()
        with suppress(Error):  # it runs out by itself
            leases.give_back(key)


def _keep_alive(key: str, ended: threading.Event, lost: threading.Event) -> None:
    """Renew the lease, and settle what others left behind, until it is ended or lost."""
    beats = 0
    while not ended.wait(BEAT_EVERY_S):
        try:
            leases.renew(key)
            beats += 1
            if beats % SETTLE_EVERY_BEATS == 0:
                settle_left_behind()
        except LeaseLost:
            lost.set()
            worker_is_leaving.set()  # what it has in hand is not its own any more and need not go on
            return
        except Error as error:
            log.warning("the database did not take the sign that this worker lives: %s", type(error).__name__)
        except Exception:
            log.exception("what was left behind could not be settled")
        finally:
            connections.close_all()
