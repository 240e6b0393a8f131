"""The first plan: boats by the day that presses them, each job at its earliest; nothing moves again.

Also the yardstick of every plan: where nothing presses but due days it is the list by due day.
"""

from __future__ import annotations

from collections.abc import Iterable

from yard.planning import engine as e
from yard.planning.layout import Layout, compile_problem
from yard.planning.plan import Plan
from yard.planning.problem import Problem
from yard.planning.state import empty_state, load_plan, read_plan

TURNS = 12  # a turn takes a tenth of a second at 60 boats
PATIENCE = 8  # turns that place nobody more


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


def build_list(layout: Layout, state: list[int], order: Iterable[int] | None = None) -> list[int]:
    """Put every unit that is not placed into the state, by the list's rule; gives those for which there is no room."""
    state[e.PLAIN] = 1
    left = []
    for unit in list_order(layout) if order is None else order:
        if _missing(layout, state, unit) and not e.construct(layout.g, state, unit):
            left.append(unit)
    return left


def build_first_plan(layout: Layout, state: list[int], start: Plan | None = None) -> None:
    """The list; where it leaves boats out, again with them and those in front of them ahead of all others.

    state: with nothing placed but what is pinned.  start: a plan to keep to; who goes ahead is put in before it, since
    a boat that it left out has room only where another gives way.

    Whoever had no room goes further ahead each time (squeaky wheel: Joslin and Clements, J. Artif. Intell. Res. 10,
    1999); the fewest left out stays, the sooner the better.  On the example yard in May the plain list leaves 6 boats
    of 59 out and this one none after some tenths of a second; the search found them room after 17 s, or not at all.
    """
    empty: list[int] = list(state)
    ahead: dict[int, int] = {}
    order = list(list_order(layout))
    fewest = _build_around(layout, state, order, start)
    hopeless = {unit for unit in fewest if not _fits_alone(layout, unit)}
    left = [unit for unit in fewest if unit not in hopeless]
    better = 0
    for turn in range(TURNS):
        if not left or turn - better >= PATIENCE:
            return
        for unit in left:
            for one in _with_fronts(layout, unit):
                ahead[one] = turn
        tried = list(empty)
        build_list(layout, tried, sorted((unit for unit in order if unit in ahead), key=lambda unit: -ahead[unit]))
        again = _build_around(layout, tried, order, start)
        left = [unit for unit in again if unit not in hopeless]
        if len(again) < len(fewest):
            fewest, better = again, turn
            state[:] = tried


def _build_around(layout: Layout, state: list[int], order: Iterable[int], start: Plan | None) -> list[int]:
    """Beside whoever is placed: the boats of `start` as it has them, then the list; gives those left over."""
    if start is not None:
        load_plan(layout, state, start)
    return build_list(layout, state, order)


def list_order(layout: Layout) -> Iterable[int]:
    """By the day that presses, then front boats first.

    A boat is pressed by the first due day of her orders and by the last day on which one of her open jobs may still
    start (a mast to step within days of a launch that is done); a boat in front also by whoever waits behind her.
    """
    units = layout.units
    pinned = {pin.job for pin in layout.problem.pins}
    presses = [_presses(layout, unit, pinned) for unit in range(len(units.jobs))]
    for unit in sorted(range(len(presses)), key=lambda unit: -units.levels[unit]):
        for front in units.fronts[unit]:
            presses[front] = min(presses[front], presses[unit])
    return sorted(range(len(presses)), key=lambda unit: (presses[unit], units.levels[unit], unit))


def _presses(layout: Layout, unit: int, pinned: set[int]) -> int:
    """An axis day."""
    problem, timeline = layout.problem, layout.axis.timeline
    days = [problem.orders[order].due_day for order in layout.units.orders[unit]]
    for job in layout.units.jobs[unit]:
        limit = problem.jobs[job].not_after
        if limit is not None and job not in pinned:
            days.append(timeline.last_at_or_before(limit) // problem.calendar.quarters_per_day)
    return min(days, default=0)


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
    for one in _with_fronts(layout, unit):
        count = e.queue_unit(g, state, one)
        e.free_caps(g, state, one)
        if not e.insert(g, state, count, 0) and not e.insert(g, state, count, 1):
            return False
    return True


def _with_fronts(layout: Layout, unit: int) -> list[int]:
    """The unit and all that stand in front of it, front first."""
    front, rest = {unit}, [unit]
    while rest:
        fresh = set(layout.units.fronts[rest.pop()]) - front
        front |= fresh
        rest += fresh
    return sorted(front, key=lambda one: (layout.units.levels[one], one))


def _held(layout: Layout, job: int) -> int:
    return layout.g[e.HELD] + job * layout.g[e.HELD_STRIDE]
