"""Boats whose orders go before all (a storm's hauling, an urgent order) have their place before the posted plan has.

Elsewhere in a first proposal nobody moves for another.  Where that leaves one of these out, they come first: in
several turns and by their earliest or their latest times, since one boat's tide may be another's only one; the turn
that places most of them stays, and the posted plan is laid around them.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence

from yard.planning import engine as e
from yard.planning.layout import Layout
from yard.planning.plan import Plan
from yard.planning.reshuffle.mending import mend_missing
from yard.planning.state import empty_state, load_what_fits

BEFORE_ALL = 3  # Order.goes_first
INSERTIONS = 300  # of one boat each, in all turns together: some tenths of a second
LAID_AROUND = 3  # of the best turns, as many have the posted plan laid around them


def make_way(layout: Layout, state: list[int], posted: Plan, firm: frozenset[int]) -> None:
    """Where the state leaves out boats that go before all, and others' giving way helps, put more of them in."""
    first = _go_before_all(layout)
    here = [unit for unit in first if _whole(layout, state, unit)]
    without = [unit for unit in first if unit not in here]
    if not without:
        return
    most, best = len(here), None
    for tried in _first_come(layout, without, empty_state(layout, posted.berths())):
        mend_missing(layout, tried, load_what_fits(layout, tried, posted), firm)
        whole = sum(_whole(layout, tried, unit) for unit in first)
        if whole > most:
            most, best = whole, tried
    if best is not None:
        state[:] = best


def _first_come(layout: Layout, units: Sequence[int], empty: Sequence[int]) -> list[list[int]]:
    """The states with most of these units placed, and nobody else."""
    found: list[tuple[int, list[int]]] = []
    for order in _orders(units):
        tried = list(empty)
        placed = _put_in(layout, tried, order)
        found.append((placed, tried))
        found.sort(key=lambda one: -one[0])
        del found[LAID_AROUND:]
        if placed == len(units):
            break
    return [tried for placed, tried in found if placed]


def _go_before_all(layout: Layout) -> list[int]:
    """Those in front of another first."""
    orders = layout.problem.orders
    found = [
        unit
        for unit, own in enumerate(layout.units.orders)
        if any(orders[order].goes_first >= BEFORE_ALL for order in own)
    ]
    return sorted(found, key=lambda unit: (layout.units.levels[unit], unit))


def _orders(units: Sequence[int]) -> Iterator[list[tuple[int, int]]]:
    """In what turn, and whether by the latest times: all early, all late, then as chance has it, always the same."""
    yield [(unit, 0) for unit in units]
    yield [(unit, 1) for unit in units]
    chance = random.Random(len(units))
    for _ in range(INSERTIONS // len(units)):
        turn = sorted(units, key=lambda _unit: chance.random())
        yield [(unit, int(chance.random() < 0.5)) for unit in turn]


def _put_in(layout: Layout, state: list[int], order: Sequence[tuple[int, int]]) -> int:
    g, placed = layout.g, 0
    state[e.PLAIN] = 1
    for unit, late in order:
        e.free_caps(g, state, unit)
        placed += e.insert(g, state, e.queue_unit(g, state, unit), late)
    return placed


def _whole(layout: Layout, state: Sequence[int], unit: int) -> bool:
    g = layout.g
    return all(state[g[e.HELD] + job * g[e.HELD_STRIDE]] >= 0 for job in layout.units.jobs[unit])
