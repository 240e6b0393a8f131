"""Planners that behave as a real one may, on demand and in no time; they stand in its place in a run's child process.

Each takes what yard.planning.solve.solve takes.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from typing import Any

from yard import speech
from yard.planning.plan import Infeasible, OutOfTime, Plan, Planned, Score
from yard.planning.problem import Problem
from yard.planning.progress import Progress, Seconds


def _planned(seconds: float, ended: Any) -> Planned:
    score = Score(cost=0, late_orders=0, weighted_days_late=0, days_of_flow=0, left_out=0)
    return Planned(Plan(placements=()), score, 0, False, seconds, ended)


def quick(problem: Problem, *, stop: Seconds, on_progress: Callable[[Progress], None], **ways: Any) -> Planned:
    on_progress(Progress(elapsed_s=0.0, cost=7, late_orders=1, left_out=0, phase="first plan"))
    assert "django" not in sys.modules, "the child loads no Django"
    assert stop.seconds > 0
    return _planned(0.1, "proved")


def speaking(problem: Problem, **ways: Any) -> Planned:
    """Says a word of Django's own catalogue, and a number, and breaks."""
    assert "django" not in sys.modules, "the child loads no Django"
    raise ValueError(f"{speech._('Thursday')}, {speech.number(1.5, 1)}")


def slow(
    problem: Problem,
    *,
    stop: Seconds,
    on_progress: Callable[[Progress], None],
    should_stop: Callable[[], bool],
    **ways: Any,
) -> Planned:
    """Uses up its time, unless it is told to stop."""
    began = time.monotonic()
    while (elapsed := time.monotonic() - began) < stop.seconds:
        on_progress(Progress(elapsed_s=elapsed, cost=100, late_orders=2, left_out=0, phase="improving"))
        if should_stop():
            return _planned(elapsed, "stopped")
        time.sleep(0.05)
    return _planned(stop.seconds, "time")


def deaf(problem: Problem, *, on_progress: Callable[[Progress], None], **ways: Any) -> Planned:
    """Says one thing, hears nothing, never ends."""
    on_progress(Progress(elapsed_s=0.0, cost=100, late_orders=0, left_out=0, phase="improving"))
    while True:
        time.sleep(1)


def with_children(problem: Problem, *, on_progress: Callable[[Progress], None], **ways: Any) -> Planned:
    """Starts a process of its own, tells its number as the cost, and never ends."""
    child = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(600)"])
    on_progress(Progress(elapsed_s=0.0, cost=child.pid, late_orders=0, left_out=0, phase="first plan"))
    return deaf(problem, on_progress=on_progress)


def failing(problem: Problem, **ways: Any) -> Planned:
    raise ZeroDivisionError("a fault of ours")


def dying(problem: Problem, **ways: Any) -> Planned:
    os._exit(9)


def impossible(problem: Problem, **ways: Any) -> Infeasible:
    return Infeasible(("Wagtail needs 17 ft and no tide has it",), 1.0)


def empty_handed(problem: Problem, *, should_stop: Callable[[], bool], stop: Seconds, **ways: Any) -> OutOfTime:
    began = time.monotonic()
    while time.monotonic() < began + min(stop.seconds, 10) and not should_stop():
        time.sleep(0.05)
    return OutOfTime(stop.seconds)


def naming(problem: Problem, **ways: Any) -> Planned:
    raise ValueError("Bertram Quill (bertram@quill.example) has no hours")
