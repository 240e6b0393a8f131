"""A yard in a folder of its own, served as `manage.py serve` serves it, and people who press its buttons over HTTP."""

from __future__ import annotations

import http.client
import os
import re
import secrets
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

ROOT = Path(__file__).resolve().parents[2]
VERSION = re.compile(r'name="version" value="(\d+)"')
TIMEOUT_S = 60
IDLE_S = 1.0
"""A connection that lay idle for so long is not used again: the site ends it after two seconds."""


@dataclass
class Site:
    """One process of the site with eight threads, under a master that starts it again."""

    folder: Path
    port: int
    process: subprocess.Popen[bytes] | None = None

    @property
    def environment(self) -> dict[str, str]:
        return os.environ | {
            "YARD_DATA": str(self.folder),
            "DJANGO_SETTINGS_MODULE": "yard.settings",
            "YARD_PLAIN_STATIC": "1",
        }

    def start(self) -> None:
        options = ["--workers", "1", "--threads", "8", "--no-control-socket", "--log-level", "critical"]
        command = [
            sys.executable,
            "-m",
            "gunicorn",
            "yard.wsgi:application",
            "--bind",
            f"127.0.0.1:{self.port}",
            *options,
        ]
        self.process = subprocess.Popen(command, env=self.environment, cwd=ROOT, start_new_session=True)
        self.wait()

    def wait(self, within_s: float = 120) -> None:
        """Until it answers."""
        until = time.monotonic() + within_s
        while time.monotonic() < until:
            try:
                if Person(self.port, "").get("/healthz")[0] == 200:
                    return
            except OSError:
                time.sleep(0.1)
        raise RuntimeError("the site did not come back")

    def workers(self) -> list[int]:
        assert self.process is not None
        return [
            int(one) for one in Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children").read_text().split()
        ]

    def kill_worker(self) -> None:
        """SIGKILL to the process that answers; its master starts another."""
        for pid in self.workers():
            os.kill(pid, signal.SIGKILL)

    def kill(self) -> None:
        """SIGKILL to all of it."""
        assert self.process is not None
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()

    def cpu_s(self) -> float:
        """Processor time of the process that answers, seconds."""
        ticks = 0
        for pid in self.workers():
            fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
            ticks += int(fields[11]) + int(fields[12])
        return ticks / os.sysconf("SC_CLK_TCK")

    def synchronous(self) -> tuple[str, int]:
        """The journal and how safely SQLite writes, as the site's own settings open the database; FULL is 2."""
        code = (
            "import django; django.setup()\n"
            "from django.db import connection as c\n"
            "print(*(c.cursor().execute('PRAGMA ' + n).fetchone()[0] for n in ('journal_mode', 'synchronous')))"
        )
        said = subprocess.run(
            [sys.executable, "-c", code], env=self.environment, cwd=ROOT, capture_output=True, check=True
        )
        journal, how = said.stdout.decode().split()
        return journal, int(how)


@contextmanager
def served(folder: Path) -> Iterator[Site]:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    site = Site(folder, port)
    site.start()
    try:
        yield site
    finally:
        site.kill()


@dataclass
class Person:
    """One browser: a connection kept open, a session, and what it saw. seconds: how long each answer took."""

    port: int
    session: str
    seconds: list[tuple[str, float]] = field(default_factory=list)
    connection: http.client.HTTPConnection | None = None
    used_at: float = 0.0

    def get(self, path: str) -> tuple[int, str, str]:
        return self._ask("GET", path, None)

    def post(self, path: str, fields: dict[str, str]) -> tuple[int, str, str]:
        return self._ask("POST", path, urlencode(fields))

    def _ask(self, method: str, path: str, body: str | None) -> tuple[int, str, str]:
        """Status, where it leads, text. Raises OSError or HTTPException where nobody answers; nothing is sent twice."""
        if self.connection is None or time.monotonic() - self.used_at > IDLE_S:
            self.connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=TIMEOUT_S)
        token = "t" * 32
        headers = {"Host": "localhost", "Cookie": f"sessionid={self.session}; csrftoken={token}", "X-CSRFToken": token}
        if body is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        began = time.monotonic()
        try:
            self.connection.request(method, path, body, headers)
            answer = self.connection.getresponse()
            text = answer.read().decode(errors="replace")
        except (OSError, http.client.HTTPException):
            self.connection.close()
            self.connection = None
            raise
        self.used_at = time.monotonic()
        self.seconds.append((f"{method} {re.sub(r'[0-9-]+', '.', path)}", time.monotonic() - began))
        return answer.status, answer.headers.get("Location", ""), text


@dataclass
class Ledger:
    """What the site said that it saved. unknown: sent, and nobody answered: it may be there or not.

    notes: texts. drafts: by boat, how many were taken.
    """

    notes: set[str] = field(default_factory=set)
    drafts: dict[int, int] = field(default_factory=dict)
    unknown_notes: set[str] = field(default_factory=set)
    unknown_drafts: dict[int, int] = field(default_factory=dict)
    refused_as_stale: int = 0
    wrong: list[str] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)


def write_note(person: Person, boat: int, ledger: Ledger) -> None:
    text = f"seen at {time.time_ns()} {secrets.token_hex(4)}"
    try:
        status, where, page = person.post(f"/boats/{boat}/notes/", {"text": text, "about": "boat"})
    except ConnectionRefusedError:
        return  # nobody was there to read it
    except (OSError, http.client.HTTPException):
        with ledger.lock:
            ledger.unknown_notes.add(text)
        return
    with ledger.lock:
        if status == 302 and where.startswith("/boats/"):
            ledger.notes.add(text)
        else:
            ledger.wrong.append(f"a note was answered {status} {where} {_title(page)}")


def write_draft(person: Person, boat: int, ledger: Ledger) -> None:
    """Read her form, think, send it with the version that was read: somebody else may have been first."""
    try:
        status, _, page = person.get(f"/boats/{boat}/change/")
    except (OSError, http.client.HTTPException):
        return
    seen = VERSION.search(page)
    if status != 200 or seen is None:
        with ledger.lock:
            ledger.wrong.append(f"her form was answered {status} {_title(page)}")
        return
    try:
        draft = f"{2 + time.time_ns() % 997 / 1000:.3f}"
        status, where, page = person.post(f"/boats/{boat}/draft/", {"version": seen[1], "draft": draft})
    except ConnectionRefusedError:
        return
    except (OSError, http.client.HTTPException):
        with ledger.lock:
            ledger.unknown_drafts[boat] = ledger.unknown_drafts.get(boat, 0) + 1
        return
    with ledger.lock:
        if status == 302 and where.startswith("/boats/"):
            ledger.drafts[boat] = ledger.drafts.get(boat, 0) + 1
        elif status in (200, 422):
            ledger.refused_as_stale += 1
        else:
            ledger.wrong.append(f"a draft was answered {status} {where} {_title(page)}")


def _title(page: str) -> str:
    found = re.search(r"<title>([^<]*)", page)
    return found[1].strip() if found else page[:80]


def lost(ledger: Ledger, versions_before: dict[int, int]) -> list[str]:
    """Each acknowledged write that is not in the database, and each that is there without having been sent."""
    from yard.models import Boat, Memo

    found = list(Memo.objects.filter(text__startswith="seen at ").values_list("text", flat=True))
    wrong = [f"a note is gone: {text}" for text in ledger.notes - set(found)]
    wrong += [f"a note that nobody sent: {text}" for text in set(found) - ledger.notes - ledger.unknown_notes]
    if len(found) != len(set(found)):
        wrong.append("a note stands there twice")
    for boat, version in Boat.objects.filter(pk__in=versions_before).values_list("pk", "version"):
        least = versions_before[boat] + ledger.drafts.get(boat, 0)
        if not least <= version <= least + ledger.unknown_drafts.get(boat, 0):
            wrong.append(f"boat {boat} is at version {version}; {least} were acknowledged")
    return wrong


def sessions(count: int) -> list[str]:
    """So many people signed in: half of the office, the others of the crew, planners and viewers; their sessions."""
    from django.conf import settings

    from tests.soak.ground import signed_in

    roles = ("office", "planner")
    made = (signed_in(f"person-{number}", roles[number % len(roles)]) for number in range(count))
    return [client.cookies[settings.SESSION_COOKIE_NAME].value for client in made]


def integrity(folder: Path) -> list[str]:
    """What SQLite finds wrong in the file; nothing in a good one."""
    import sqlite3
    from contextlib import closing

    with closing(sqlite3.connect(folder / "yard.sqlite3", timeout=60)) as file:
        said = file.execute("PRAGMA integrity_check").fetchall() + file.execute("PRAGMA foreign_key_check").fetchall()
    return [str(row) for row in said if row != ("ok",)]


def boats(count: int) -> Sequence[int]:
    from yard.models import Boat

    return list(Boat.objects.filter(archived=False).order_by("pk").values_list("pk", flat=True)[:count])
