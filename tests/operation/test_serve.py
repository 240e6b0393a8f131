"""`manage.py serve` and its children: killed, failing, deaf. Its start from nothing is in test_journey.py."""

from __future__ import annotations

import re
import socket
import time

import httpx

from tests.operation.background import children, until
from tests.operation.test_plan_process import gone, runs
from yard.management.supervisor import LONGEST_PAUSE_S, Child, Supervisor


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def answers(address: str) -> bool:
    try:
        return bool(httpx.get(f"{address}healthz", trust_env=False).json()["database"] == "ok")
    except httpx.TransportError:
        return False


def test_killed_it_leaves_nothing_behind(folder):
    port = free_port()
    serve = folder.start("serve", "--port", str(port))
    until(lambda: answers(f"http://localhost:{port}/"), within_s=240)
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
    until_s = time.monotonic() + 60
    while time.monotonic() < until_s and len(heard) < 4:
        supervisor._look_after(child)
        time.sleep(0.01)
    pauses = [float(re.search(r"again in ([\d.]+) s", line).group(1)) for line in heard]
    assert pauses == [0.05, 0.1, 0.2, 0.4]
    assert child.pause_s <= LONGEST_PAUSE_S


def test_a_child_that_hears_nothing_is_killed_after_the_grace(tmp_path):
    deaf = tmp_path / "deaf"
    child = Child("Deaf", ["sh", "-c", f"trap '' TERM; touch '{deaf}'; while :; do sleep 1; done"])
    child.start()
    until(deaf.exists)
    began = time.monotonic()
    Supervisor([child], say=print, grace_s=0.5)._stop_all()
    assert 0.4 < time.monotonic() - began < 5
    assert child.process is not None
    assert not runs(child.process.pid)
