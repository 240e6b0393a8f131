"""`manage.py serve` on an empty folder, with everything real: database, worker, site, and their end."""

from __future__ import annotations

import os
import re
import socket
import time
from collections.abc import Iterator

import httpx
import pytest

from tests.operation.background import Folder, children, command_of, end, said, until
from tests.operation.test_plan_process import gone, runs
from yard.management.supervisor import LONGEST_PAUSE_S, Child, Supervisor


@pytest.fixture
def empty_folder(tmp_path) -> Iterator[Folder]:
    folder = Folder(tmp_path / "data", settings="yard.settings")
    yield folder
    folder.kill_all()


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def answers(address: str) -> bool:
    try:
        return httpx.get(f"{address}healthz", trust_env=False).json() == {"status": "ok"}
    except httpx.TransportError:
        return False


def test_from_an_empty_folder_to_the_end(empty_folder, monkeypatch):
    folder = empty_folder
    monkeypatch.delenv("YARD_PLAIN_STATIC", raising=False)
    port = free_port()
    address = f"http://localhost:{port}/"
    serve = folder.start("serve", "--port", str(port))
    until(lambda: answers(address), within_s=240, what="the site answers")

    page = httpx.get(f"{address}sign-in/", trust_env=False)
    style = re.search(r'href="(/static/yard/page\.[0-9a-f]+\.css)"', page.text)
    assert page.status_code == 200
    assert style is not None, "static files are collected, and their names carry their contents"
    assert httpx.get(address + style.group(1)[1:], trust_env=False).status_code == 200

    again = folder.start("serve", "--port", str(port))
    assert "try another with --port" in said(again)
    assert again.returncode == 1

    web, worker = (
        next(child for child in children(serve.pid) if word in command_of(child)) for word in ("gunicorn", " worker")
    )
    os.kill(worker, 9)
    until(lambda: any(" worker" in command_of(child) for child in children(serve.pid) if child != worker))
    everybody = [web, *children(web), *children(serve.pid)]

    text = end(serve)
    assert serve.returncode == 0
    assert all(gone(pid) for pid in everybody)
    assert "Bringing the database up to date" in text
    assert "Nobody can sign in yet. In another window: manage.py add_user NAME --role planner" in text
    assert f"Yard is at {address} (Ctrl-C ends it)" in text
    assert "The background worker ended (code -9); again in 1 s" in text
    assert text.rstrip().endswith("Ended.")


def test_killed_it_leaves_nothing_behind(folder):
    port = free_port()
    serve = folder.start("serve", "--port", str(port))
    until(lambda: answers(f"http://localhost:{port}/"), within_s=60)
    everybody = children(serve.pid)
    assert len(everybody) == 2
    serve.kill()
    serve.wait()
    assert all(gone(pid, within_s=20) for pid in everybody)


def test_a_child_that_cannot_stay_is_started_again_with_longer_and_longer_pauses(monkeypatch):
    heard = []
    monkeypatch.setattr("yard.management.supervisor.LOOK_EVERY_S", 0.01)
    child = Child("The site", ["false"], pause_s=0.05)
    supervisor = Supervisor([child], say=heard.append)
    child.start()
    until_s = time.monotonic() + 2
    while time.monotonic() < until_s and len(heard) < 4:
        supervisor._look_after(child)
        time.sleep(0.01)
    pauses = [float(re.search(r"again in ([\d.]+) s", line).group(1)) for line in heard]
    assert pauses == [0.05, 0.1, 0.2, 0.4]
    assert child.pause_s <= LONGEST_PAUSE_S


def test_a_child_that_hears_nothing_is_killed_after_the_grace():
    child = Child("Deaf", ["sh", "-c", "trap '' TERM; while :; do sleep 1; done"])
    child.start()
    time.sleep(0.3)
    began = time.monotonic()
    Supervisor([child], say=print, grace_s=0.5)._stop_all()
    assert 0.4 < time.monotonic() - began < 5
    assert child.process is not None
    assert not runs(child.process.pid)
