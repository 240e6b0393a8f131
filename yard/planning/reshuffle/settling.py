"""After a search: work that keeps its day goes back to its posted hours and hands.

A search that counts days is free to swap hours and people within a day, and does.  Day by day all such work is lifted
out at once, with what moved to that day; what was posted goes back first, then what moved, at the search's hours by
whoever is free, then the rest as the search had it.  Where that fails the day stays as it was.  No job starts
anywhere but at home or where the search had it, so no order costs more.
"""

from __future__ import annotations

from yard.planning import engine as e
from yard.planning.layout import Layout
from yard.planning.plan import Placement, Plan
from yard.planning.reshuffle.differences import changes
from yard.planning.state import empty_state, load_plan, load_what_fits, read_plan


def settle(layout: Layout, posted: Plan, plan: Plan) -> Plan:
    """The plan itself where there is nothing to settle."""
    per_day = layout.problem.calendar.quarters_per_day
    by_day: dict[int, set[int]] = {}
    moved: dict[int, set[int]] = {}
    for row in changes(layout.problem, posted, plan):
        if row.becomes is not None:
            own = moved if row.change in ("moved", "added") else by_day
            own.setdefault(row.becomes.starts_at // per_day, set()).add(row.job)
    state = empty_state(layout, plan.berths())
    load_plan(layout, state, plan)
    if not by_day or len(read_plan(layout, state, best=False).placements) < len(plan.placements):
        return plan
    for day, jobs in sorted(by_day.items()):
        _return(layout, state, posted, plan, jobs, moved.get(day, set()))
    settled = read_plan(layout, state, best=False)
    return Plan(placements=settled.placements, stays=settled.stays, left_out=plan.left_out)


def _return(layout: Layout, state: list[int], posted: Plan, plan: Plan, jobs: set[int], moved: set[int]) -> None:
    _lift(layout, state, jobs | moved)
    load_what_fits(layout, state, posted, jobs)
    planned = plan.by_job()
    waiting = load_what_fits(layout, state, plan, moved)
    for job in [job for job in waiting if job in moved]:
        start_by_anybody(layout, state, planned[job])
    waiting = load_what_fits(layout, state, plan, jobs)
    if any(job in jobs and not start_by_anybody(layout, state, planned[job]) for job in waiting) or _missing(
        layout, state, moved
    ):
        _lift(layout, state, jobs | moved)
        load_what_fits(layout, state, plan, jobs | moved)


def start_by_anybody(layout: Layout, state: list[int], wanted: Placement) -> bool:
    """Place a job at the start that a plan has, by whoever is free and at any place that is."""
    g, job = layout.g, wanted.job
    start = layout.axis.inner(wanted.starts_at)
    row = g[e.JOB] + job * e.JOB_STRIDE
    for number in range(g[row + e.J_MODE_COUNT]):
        mode = g[row + e.J_MODES] + number * e.MODE_STRIDE
        if layout.modes[mode].way != wanted.way or not e.bounds(g, state, job, mode):
            continue
        if not state[e.LO] <= start <= state[e.HI] or e.end_of(g, mode, start) != layout.axis.inner_end(wanted.ends_at):
            continue
        if e.starts_on(g, state, mode, start >> g[e.SHIFT], start, start) and e.place(g, state, job, mode, start):
            state[g[e.PENDING] + job] = 0
            return True
    return False


def _missing(layout: Layout, state: list[int], jobs: set[int]) -> bool:
    return any(state[layout.g[e.HELD] + job * layout.g[e.HELD_STRIDE]] < 0 for job in jobs)


def _lift(layout: Layout, state: list[int], jobs: set[int]) -> None:
    for job in jobs:
        if state[layout.g[e.HELD] + job * layout.g[e.HELD_STRIDE]] >= 0:
            e.unplace(layout.g, state, job)
