"""How sure the last day of one order is, beside a plan that hangs: the season lived through until she is done."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from datetime import date

from yard.models import Job
from yard.planning.plan import Plan as PlannerPlan
from yard.promise.odds import odds
from yard.services.promise_input import PromiseGround, promise_ground, promise_of
from yard.services.read_problem import ReadProblem

SEASONS = 300
"""Fewer than for a posted plan, since somebody waits: they leave 1.7 points of noise in a day at 90 in 100."""
SEED = 1

_lock = threading.Lock()
_kept: dict[tuple[int, int], PromiseGround] = {}


def day_at_80_and_90(
    read: ReadProblem, plan: PlannerPlan, rows: Sequence[Job], key: tuple[int, int]
) -> tuple[date | None, date | None]:
    """By which day one order is done in 80 and in 90 of 100 seasons. rows: its jobs, which `read` has too.

    None for a day beyond the calendar.  key: of the plan and the count of facts, under which what does not change
    from one caller to the next is kept.
    """
    ground = _ground(read, rows, key)
    given = promise_of(read, plan, ground.with_jobs(rows), only_order=rows[0].order_id)
    found = odds(given.season, scenarios=SEASONS, seed=SEED, doubt=given.doubt)
    (hers,) = found.milestones
    _, at_80, at_90, _ = hers.days
    return _date(read, at_80), _date(read, at_90)


def live_through_once(read: ReadProblem, plan: PlannerPlan, key: tuple[int, int]) -> None:
    """What is the same for every caller, and the compiled dispatch, into memory."""
    ground = _ground(read, (), key)
    if plan.placements:
        order = ground.rows[read.jobs[plan.placements[0].job]].order_id
        odds(promise_of(read, plan, ground, only_order=order).season, scenarios=1, seed=SEED, doubt=ground.doubt)


def ground_for(read: ReadProblem, key: tuple[int, int]) -> PromiseGround:
    """What does not change from one caller to the next, read now or kept."""
    return _ground(read, (), key)


def keep_ground(key: tuple[int, int], ground: PromiseGround) -> None:
    """What another process has read."""
    with _lock:
        _kept.clear()
        _kept[key] = ground


def _ground(read: ReadProblem, rows: Sequence[Job], key: tuple[int, int]) -> PromiseGround:
    with _lock:
        if key not in _kept:
            _kept.clear()
            _kept[key] = promise_ground(read, without=rows)
        return _kept[key]


def _date(read: ReadProblem, day: int) -> date | None:
    return read.axis.date_of(day) if day < len(read.axis.dates) else None
