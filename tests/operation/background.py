"""A yard in a folder of its own, and the processes that work on it: real ones, killed and stopped as they are."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.db import connection

ROOT = Path(__file__).resolve().parents[2]
ASK = """
from django.utils import timezone
from yard.services.plan_runs import ask_for_plan
ask_for_plan(seconds=600, seed=1, by=None, now=timezone.now())
"""


def until(holds: Callable[[], Any], within_s: float = 120.0, what: str = "") -> Any:
    """The first true answer; an assertion fails if there is none in time."""
    deadline = time.monotonic() + within_s
    while time.monotonic() < deadline:
        if answer := holds():
            return answer
        time.sleep(0.05)
    raise AssertionError(f"not within {within_s:g} s: {what or holds}")


def address_of_test_database() -> str:
    """Of the database that this run of tests is on, for a process beside it."""
    of = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{of['NAME']}"
    host = of["HOST"].replace("/", "%2F")
    return f"postgres://{of['USER']}:{of['PASSWORD']}@{host}:{of['PORT']}/{of['NAME']}"


@dataclass
class Folder:
    """A data folder. solver: the planner of tests.operation.solvers that stands in. database: "" for SQLite in it."""

    path: Path
    solver: str = "slow"
    settings: str = "tests.operation.worker_settings"
    database: str = ""
    started: list[subprocess.Popen[str]] = field(default_factory=list)

    @property
    def environment(self) -> dict[str, str]:
        kept = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "YARD_TEST_DB")}
        return (
            kept
            | ({"DATABASE_URL": self.database} if self.database else {})
            | {
                "YARD_DATA": str(self.path),
                "DJANGO_SETTINGS_MODULE": self.settings,
                "TEST_SOLVER": f"tests.operation.solvers.{self.solver}",
                "PYTHONPATH": str(ROOT),
                "PYTHONUNBUFFERED": "1",
            }
        )

    def start(self, *words: str) -> subprocess.Popen[str]:
        command = [sys.executable, str(ROOT / "manage.py"), *words]
        process = subprocess.Popen(
            command,
            env=self.environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            stdin=subprocess.DEVNULL,
            text=True,
        )
        self.started.append(process)
        return process

    def worker(self, *words: str) -> subprocess.Popen[str]:
        """As `manage.py serve` starts it."""
        return self.start("worker", "--skip-checks", *words)

    def run(self, *words: str) -> str:
        process = self.start(*words)
        said, _ = process.communicate(timeout=600)
        assert process.returncode == 0, said
        return said

    def python(self, code: str) -> str:
        return self.run("shell", "--no-imports", "-c", code)

    def row(self, query: str) -> Any:
        """The first row of a query, read beside Django."""
        with closing(sqlite3.connect(self.path / "yard.sqlite3", timeout=20)) as database:
            return database.execute(query).fetchone()

    def change(self, statement: str) -> None:
        """Written beside Django, before any process is there."""
        with closing(sqlite3.connect(self.path / "yard.sqlite3", timeout=20)) as database, database:
            assert database.execute(statement).rowcount == 1

    def kill_all(self) -> None:
        for process in self.started:
            if process.poll() is None:
                process.kill()
            process.wait()


def said(process: subprocess.Popen[str], within_s: float = 240.0) -> str:
    """Wait for its end, and give what it printed."""
    return process.communicate(timeout=within_s)[0]


def end(process: subprocess.Popen[str], number: int = signal.SIGTERM) -> str:
    process.send_signal(number)
    return said(process)


def children(pid: int) -> list[int]:
    found = []
    for task in Path(f"/proc/{pid}/task").iterdir():
        found += [int(child) for child in (task / "children").read_text().split()]
    return found


def command_of(pid: int) -> str:
    try:
        return Path(f"/proc/{pid}/cmdline").read_bytes().replace(b"\0", b" ").decode()
    except FileNotFoundError:
        return ""
