"""The first proposal: everything that still can stays exactly where it is, and the rest goes to the nearest place.

Of a boat that cannot stay as planned, first only the jobs that do not fit are put back; where that fails, all from
the first of them on (cut at that moment); where that fails too, all of her open work.  Nobody else moves.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from yard.planning import engine as e
from yard.planning.layout import Layout
from yard.planning.listing import build_list
from yard.planning.plan import Plan
from yard.planning.state import load_what_fits


def repair(layout: Layout, state: list[int], posted: Plan, firm: frozenset[int]) -> None:
    """Fill an empty state (of a layout with homes) from the posted plan.  A unit for which no room is found among
    the others is left out."""
    mend_missing(layout, state, load_what_fits(layout, state, posted), firm)


def mend_missing(layout: Layout, state: list[int], missing: Collection[int], firm: frozenset[int]) -> None:
    """Find places for jobs that have none, near their homes, and price the state."""
    state[e.PLAIN] = 1
    damaged = {layout.units.unit_of[layout.problem.jobs[job].boat] for job in missing}
    for unit in sorted(damaged, key=lambda unit: _turn(layout, unit, firm)):
        mend_unit(layout, state, unit)
    _let_go_behind(layout, state)
    build_list(layout, state)  # who came too early for a boat in front may fit now
    e.price_all(layout.g, state)


def _turn(layout: Layout, unit: int, firm: frozenset[int]) -> tuple[int, bool, int, int]:
    """Who lies in front, then who was told a firm day, then who is due first."""
    told = any(layout.units.unit_of[boat] == unit for boat in firm)
    due = min((layout.problem.orders[order].due_day for order in layout.units.orders[unit]), default=0)
    return layout.units.levels[unit], not told, due, unit


def mend_unit(layout: Layout, state: list[int], unit: int) -> None:
    """Find places for the jobs of one unit that have none, near their homes."""
    g = layout.g
    e.free_caps(g, state, unit)
    for take in _cuts(layout, state, unit):
        for job in take:
            if state[_held(layout, job)] >= 0:
                e.unplace(g, state, job)
        for homing, late in ((1, 0), (0, 0), (1, 1)):
            count = e.queue_unit(g, state, unit)
            state[e.HOMING] = homing
            good = e.insert(g, state, count, late)
            state[e.HOMING] = 0
            if good:
                return


def _cuts(layout: Layout, state: list[int], unit: int) -> Iterator[list[int]]:
    """What to take out beside the jobs that do not fit: nothing, all from the first of them on, everything."""
    g = layout.g
    row = g[e.UNIT] + unit * e.UNIT_STRIDE
    jobs = g[g[row + e.U_JOBS] : g[row + e.U_JOBS] + g[row + e.U_JOB_COUNT]]
    homes = {job: g[g[e.HOMES] + job * e.HOME_STRIDE + e.A_START] for job in jobs}
    moment = min((homes[job] for job in jobs if state[_held(layout, job)] < 0 and homes[job] >= 0), default=0)
    yield []
    yield [job for job in jobs if homes[job] >= moment]
    yield jobs


def _let_go_behind(layout: Layout, state: list[int]) -> None:
    """Take out whoever waits for a job that is not planned."""
    g, units = layout.g, layout.units
    waits_for: dict[int, list[int]] = {}
    for link in units.links:
        waits_for.setdefault(units.unit_of[layout.problem.jobs[link.after].boat], []).append(link.before)
    for unit in sorted(waits_for, key=lambda unit: units.levels[unit]):
        if any(state[_held(layout, job)] < 0 for job in waits_for[unit]):
            for job in units.jobs[unit]:
                pinned = g[g[e.JOB] + job * e.JOB_STRIDE + e.J_PINNED]
                if state[_held(layout, job)] >= 0 and not pinned:
                    e.unplace(g, state, job)


def _held(layout: Layout, job: int) -> int:
    return layout.g[e.HELD] + job * layout.g[e.HELD_STRIDE]
