"""A boat that lost her day takes those behind her along: she goes in before the rest of the posted plan is laid.

Elsewhere in a first proposal nobody moves for another.  A boat whose day is lost may then find her next only weeks
later, and who stands behind her in a row, and goes stale or has a last day, finds none at all.  So where the first
proposal leaves out boats that had a plan, they and whoever stands in front of them go in first, each as near to her
posted days as can be; the posted plan is laid around them.  It stays only where more boats keep a plan by it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from yard.planning import engine as e
from yard.planning.layout import Layout
from yard.planning.plan import Plan
from yard.planning.reshuffle.mending import mend_missing, mend_unit
from yard.planning.state import empty_state, load_what_fits

TRIES = 3  # laying the posted plan around them once takes about as long as a first proposal


def bring_back(layout: Layout, state: list[int], posted: Plan, firm: frozenset[int]) -> None:
    """Where the state leaves out units that the posted plan has, and others' giving way helps, put more of them in."""
    lost = _lost(layout, state, posted)
    come = lost
    for _ in range(TRIES):
        if not lost:
            return
        come |= _in_front_of(layout, lost)
        tried = empty_state(layout, posted.berths())
        for unit in sorted(come, key=lambda unit: (layout.units.levels[unit], unit)):
            load_what_fits(layout, tried, posted, layout.units.jobs[unit])
            mend_unit(layout, tried, unit)
        mend_missing(layout, tried, load_what_fits(layout, tried, posted), firm)
        now = _lost(layout, tried, posted)
        if len(now) < len(lost):
            state[:] = tried
        if now <= lost:
            return
        lost, come = (now, come | now) if len(now) < len(lost) else (lost, come | now)


def _lost(layout: Layout, state: Sequence[int], posted: Plan) -> set[int]:
    """Units that the posted plan has whole and the state has not. New work takes nobody's day."""
    g, had = layout.g, posted.by_job()
    return {
        unit
        for unit, jobs in enumerate(layout.units.jobs)
        if any(state[g[e.HELD] + job * g[e.HELD_STRIDE]] < 0 for job in jobs)
        and all(job in had or g[g[e.JOB] + job * e.JOB_STRIDE + e.J_PINNED] for job in jobs)
    }


def _in_front_of(layout: Layout, units: set[int]) -> set[int]:
    """Whoever has a job that one of these waits for, and whoever those wait for."""
    ahead: dict[int, set[int]] = {}
    for before, after in _across(layout):
        ahead.setdefault(after, set()).add(before)
    found: set[int] = set()
    waiting = set(units)
    while waiting:
        new = {before for unit in waiting for before in ahead.get(unit, ())} - found - units
        found |= new
        waiting = new
    return found


def _across(layout: Layout) -> Iterator[tuple[int, int]]:
    of, jobs = layout.units.unit_of, layout.problem.jobs
    for link in layout.units.links:
        before, after = of[jobs[link.before].boat], of[jobs[link.after].boat]
        if before != after:
            yield before, after
