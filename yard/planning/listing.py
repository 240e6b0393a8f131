"""The first plan: boats by due day, each job at its earliest; nothing moves again. Also the yardstick of every plan."""

from __future__ import annotations

from collections.abc import Iterable

from yard.planning import engine as e
from yard.planning.layout import Layout, compile_problem
from yard.planning.plan import Plan
from yard.planning.problem import Problem
from yard.planning.state import empty_state, read_plan


def list_plan(problem: Problem) -> Plan:
    """Earliest due date first: boats by (due day, number), a boat in front before the one behind her.

    A maximum wait that breaks lifts the job before it, 25 times at most; who cannot be placed is left out, with the
    reason.  Raises CannotExpress for the few Problems that the engine does not take.
    """
    from yard.planning.reasons import left_out

    layout = compile_problem(problem)
    state = empty_state(layout)
    build_list(layout, state)
    return left_out(layout, read_plan(layout, state, best=False))


def build_list(layout: Layout, state: list[int]) -> None:
    """Put every unit that is not placed into the state, by the list's rule."""
    state[e.PLAIN] = 1
    for unit in list_order(layout):
        if any(state[_held(layout, job)] < 0 for job in layout.units.jobs[unit]):
            e.construct(layout.g, state, unit)


def list_order(layout: Layout) -> Iterable[int]:
    orders, units = layout.problem.orders, layout.units
    return sorted(
        range(len(units.jobs)),
        key=lambda unit: (units.levels[unit], min((orders[o].due_day for o in units.orders[unit]), default=0), unit),
    )


def lay_to_rest(layout: Layout, state: list[int]) -> None:
    """Take the units that fit in no yard, however empty, out of the search: nothing it does can place them."""
    g = layout.g
    live = [g[g[e.LIVE] + number] for number in range(g[e.LIVES])]
    kept = [unit for unit in live if not _missing(layout, state, unit) or _fits_alone(layout, unit)]
    g[g[e.LIVE] : g[e.LIVE] + len(kept)] = kept
    g[e.LIVES] = len(kept)


def _missing(layout: Layout, state: list[int], unit: int) -> bool:
    return any(state[_held(layout, job)] < 0 for job in layout.units.jobs[unit])


def _fits_alone(layout: Layout, unit: int) -> bool:
    """Whether the unit, with those in front of it, fits among the pins alone, forward or backward."""
    g = layout.g
    state = empty_state(layout)
    state[e.PLAIN] = 1
    front, rest = {unit}, [unit]
    while rest:
        fresh = set(layout.units.fronts[rest.pop()]) - front
        front |= fresh
        rest += fresh
    for one in sorted(front, key=lambda one: (layout.units.levels[one], one)):
        count = e.queue_unit(g, state, one)
        e.free_caps(g, state, one)
        if not e.insert(g, state, count, 0) and not e.insert(g, state, count, 1):
            return False
    return True


def _held(layout: Layout, job: int) -> int:
    return layout.g[e.HELD] + job * layout.g[e.HELD_STRIDE]
