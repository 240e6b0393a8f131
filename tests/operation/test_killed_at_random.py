"""A hundred kills: the worker that keeps a proposal, and the person who accepts it, cut off (SIGKILL) at random.

Each time a child of this process works on a copy of the same SQLite file. What is found in the file afterwards must be
a whole step: nothing, a proposal with all its drafts, or an accepted plan.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import sqlite3
import time
from collections import Counter
from contextlib import closing
from pathlib import Path

import pytest
from django.db import connection

from tests.operation.small_yard import make_small_yard
from tests.operation.test_plan_runs import NOW, Clock
from yard.models import Boat, Job, JobKind, JobWay, Order, PlanRun, Proposal
from yard.planning.plan import Planned
from yard.planning.progress import Rounds
from yard.planning.reshuffle import Reshuffled, reshuffle
from yard.planning.solve import solve
from yard.services.carry_out_run import _save
from yard.services.proposals import accept, ask_for_proposal
from yard.services.read_problem import ReadProblem, read_problem
from yard.services.save_plan import Making, post_plan, save_plan
from yard.services.stored_plan import plan_to_mend

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(connection.vendor != "sqlite", reason="each kill has a copy of the database: SQLite alone"),
]
KILLS, JOBS = 100, 12


def test_no_half_accepted_plan(tmp_path: Path) -> None:
    read, found, proposal = asked()
    whole = tmp_path / "whole.sqlite3"
    with closing(sqlite3.connect(whole)) as copy:
        connection.ensure_connection()
        connection.connection.backup(copy)
    began = time.monotonic()
    cut_off(tmp_path / "first", whole, read, found, proposal, after_s=60)
    usual_s = time.monotonic() - began
    assert state_of(tmp_path / "first") == "accepted"
    chance, seen, killed = random.Random(5), Counter[str](), 0
    for number in range(KILLS):
        folder = tmp_path / str(number)
        killed += cut_off(folder, whole, read, found, proposal, after_s=chance.uniform(0.1, 1.1) * usual_s)
        seen[state_of(folder)] += 1
        shutil.rmtree(folder)
    assert set(seen) <= {"asked", "ready", "accepted"}
    assert killed >= KILLS // 2, "most kills must come before the end, or this proves nothing"
    assert len(seen) >= 2, f"kills must hit different moments: {seen}"


def asked() -> tuple[ReadProblem, Reshuffled, Proposal]:
    """A posted plan, a proposal that is asked for, its run under way, and what the planner found for it."""
    make_small_yard()
    kind = JobKind.objects.create(key="sew", name="Sew", short_name="sew", letter="S", trade="loft")
    for number in range(JOBS):
        boat = Boat.objects.create(ref=f"b{number}", name=f"Boat {number}", length_m=7, beam_m=2)
        order = Order.objects.create(ref=f"27-{number}", boat=boat, name="Canvas", made_at=NOW)
        JobWay.objects.create(job=Job.objects.create(order=order, kind=kind, key="sew", name="Sew"), duration_min=60)
    read = read_problem(now=NOW)
    planned = solve(read.problem, stop=Rounds(1), workers=1, backend="python")
    assert isinstance(planned, Planned)
    posted = post_plan(save_plan(read, planned, Making(by=None, now=NOW, seed=1)), by=None, now=NOW)
    proposal = ask_for_proposal([], by=None, now=NOW)
    PlanRun.objects.filter(pk=proposal.run_id).update(state=PlanRun.State.RUNNING, started_at=NOW, heartbeat_at=NOW)
    found = reshuffle(read.problem, plan_to_mend(posted, read), stop=Rounds(1), workers=1, backend="python")
    return read, found, proposal


def cut_off(
    folder: Path, whole: Path, read: ReadProblem, found: Reshuffled, proposal: Proposal, *, after_s: float
) -> bool:
    """Keep and accept in a child that is killed after so long. Whether it was killed before it was through."""
    folder.mkdir()
    path = folder / "yard.sqlite3"
    shutil.copy(whole, path)
    child = os.fork()
    if child == 0:
        try:
            connection.settings_dict["NAME"] = str(path)
            connection.connection = None  # the parent's own
            run = PlanRun.objects.get(pk=proposal.run_id)
            _save(run, read, found, Clock())
            accept(proposal, proposal.choices.get(proposed=True), by=None, now=NOW)
            os._exit(0)
        finally:
            os._exit(1)
    until = time.monotonic() + after_s
    while time.monotonic() < until:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            assert status == 0, "the child failed by itself"
            return False
        time.sleep(0.001)
    os.kill(child, signal.SIGKILL)
    return os.WIFSIGNALED(os.waitpid(child, 0)[1])


def state_of(folder: Path) -> str:
    """The state of the proposal; asserts that all else in the file says the same."""
    with closing(sqlite3.connect(folder / "yard.sqlite3")) as file:

        def rows(asked: str) -> list[tuple[object, ...]]:
            return file.execute(asked).fetchall()

        assert rows("pragma integrity_check") == [("ok",)]
        assert rows("pragma foreign_key_check") == []
        ((state, posted),) = rows("select state, posted_id from yard_proposal")
        ((run, result),) = rows("select state, result_id from yard_planrun")
        ((on_the_wall, number),) = rows("select id, number from yard_plan where state = 'posted'")
        choices = rows("select plan_id from yard_proposedplan where proposed")
        every = rows("select plan_id from yard_proposedplan")
        plans = dict(rows("select id, state from yard_plan"))
        jobs = dict(rows("select plan_id, count(*) from yard_plannedjob group by plan_id"))
    assert jobs == dict.fromkeys(plans, JOBS), "each plan is there with all of its work"
    if state == "asked":
        assert (run, result, every, len(plans), number) == ("running", None, [], 1, 1)
    else:
        assert (run, [(result,)], len(plans)) == ("done", choices, 1 + len(every))
    if state == "ready":
        assert (posted, number) == (None, 1)
        assert {plans[pk] for (pk,) in every} == {"draft"}
    if state == "accepted":
        assert [(posted,)] == choices == [(on_the_wall,)]
        assert (number, sorted(plans.values())[-2:]) == (2, ["posted", "superseded"])
    return str(state)
