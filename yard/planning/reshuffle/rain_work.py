"""Hands that a lost day frees pull indoor work forward: it disturbs nobody, and it fills the day."""

from __future__ import annotations

from yard.planning import engine as e
from yard.planning.layout import Layout
from yard.planning.plan import Plan
from yard.planning.reshuffle.differences import changes, is_indoor
from yard.planning.state import empty_state, load_plan, read_plan

NEAR_DAYS = 10  # working days: work from further ahead would only lie about


def pull_forward(layout: Layout, posted: Plan, plan: Plan, state: list[int] | None = None) -> Plan:
    """The plan with indoor work on the days from which other work had to go, done by somebody who lost that work.

    A job is pulled forward only where no order costs more for it: cloth that is cut weeks too early lies about.
    state: one that holds the plan, to be used up; None where there is none.
    """
    freed = _freed(layout, posted, plan)
    if not freed:
        return plan
    if state is None:
        state = empty_state(layout, plan.berths())
        load_plan(layout, state, plan)
    state[e.PLAIN] = 1
    per_day = layout.problem.calendar.quarters_per_day
    pinned = {pin.job for pin in layout.problem.pins}
    last = (max(freed) + NEAR_DAYS) * per_day
    later = sorted((p.starts_at, p.job) for p in plan.placements if p.job not in pinned and p.starts_at < last)
    for starts_at, job in later:
        row = layout.problem.jobs[job]
        if not is_indoor(row) or row.pausing == "elapsed":
            continue
        for day, hands in sorted(freed.items()):
            if day * per_day >= starts_at - starts_at % per_day:
                break
            if _pull(layout, state, job, day, hands):
                break
    return _with_left_out(plan, read_plan(layout, state, best=False))


def _with_left_out(plan: Plan, pulled: Plan) -> Plan:
    """A plan of which some work could not be loaded stays as it was."""
    if len(pulled.placements) != len(plan.placements):
        return plan
    return Plan(placements=pulled.placements, stays=plan.stays, left_out=plan.left_out)


def _freed(layout: Layout, posted: Plan, plan: Plan) -> dict[int, set[int]]:
    """Who lost work, by the day from which it went."""
    problem = layout.problem
    found: dict[int, set[int]] = {}
    for row in changes(problem, posted, plan):
        if row.was is not None and row.change in ("moved", "dropped") and row.was.starts_at >= problem.now:
            found.setdefault(row.was.starts_at // problem.calendar.quarters_per_day, set()).update(row.was.people)
    return found


def _pull(layout: Layout, state: list[int], job: int, day: int, hands: set[int]) -> bool:
    """Start the job on that day by one of these people, if no order costs more for it."""
    g = layout.g
    unit = layout.units.unit_of[layout.problem.jobs[job].boat]
    held = g[e.HELD] + job * g[e.HELD_STRIDE]
    row = g[e.JOB] + job * e.JOB_STRIDE
    modes = [g[row + e.J_MODES] + number * e.MODE_STRIDE for number in range(g[row + e.J_MODE_COUNT])]
    able = [mode for mode in modes if not hands.isdisjoint(layout.modes[mode].gang.people)]
    if state[held] < 0 or not able:
        return False
    e.note_price(g, state, unit)
    cost, kept = state[e.UNIT_TRUE], state[held : held + g[e.HELD_STRIDE]]
    e.unplace(g, state, job)
    for mode in able:
        if not e.bounds(g, state, job, mode):
            continue
        lo = max(state[e.LO], day << g[e.SHIFT])
        hi = min(state[e.HI], (day << g[e.SHIFT]) + g[e.QUARTERS] - 1)
        start = e.find_first(g, state, mode, lo, hi) if lo <= hi else -1
        if start < 0 or not e.place(g, state, job, mode, start):
            continue
        named = {-1 - x for x in state[held + e.H_ROWS : held + e.H_ROWS + state[held + e.H_COUNT]] if x < 0}
        e.note_price(g, state, unit)
        if state[e.UNIT_TRUE] <= cost and named & hands:
            return True
        e.unplace(g, state, job)
    state[held : held + g[e.HELD_STRIDE]] = kept
    e.turn_rows(g, state, job)
    e.stays_of(g, state, job, -1)
    e.note_price(g, state, unit)
    return False
