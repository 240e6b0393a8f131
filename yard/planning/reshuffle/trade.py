"""The trade between moving few boats and being few days late: one search for each price of a move.

Each search starts from the first proposal and cools from a temperature too low to take the plan apart.  The prices
are far apart on purpose: at the dearest no lateness that a season knows buys a second boat's move, at the cheapest a
move costs as much as a hundred days of waiting, so that most plans move no more than the third of the boats above which
none is shown.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

from yard.planning import engine as e
from yard.planning.backend import Backend
from yard.planning.improve import Search
from yard.planning.layout import Layout
from yard.planning.plan import Plan
from yard.planning.progress import Rounds, Seconds, ShouldStop, Stop
from yard.planning.reshuffle.before_all import BEFORE_ALL
from yard.planning.reshuffle.bound import never_whole
from yard.planning.reshuffle.homes import MovePrice, with_homes
from yard.planning.state import empty_state, load_plan, read_plan

FEWEST_MOVES, BETWEEN, FEWEST_DAYS = MovePrice(8000, 40), MovePrice(600, 10), MovePrice(100, 2)
LANES = ((FEWEST_MOVES, BETWEEN), (FEWEST_DAYS,))
"""What each of two cores searches, in turn. The far end has a core for itself: it goes farthest from the posted plan,
and of all that was tried (hotter, freer, home again from a free plan, two states that meet) only more rounds brought
it nearer to a fresh plan. The figures: yard/planning/README.md."""
PATIENCE = 2  # on a busy machine 8 s are too few to find room for the last boat, and a lost boat is dearer than a wait
HOT_LATE_DAYS = 0.3  # days late of a boat that goes first once; a plan from scratch starts at 2
HOT_FAR = 1.0  # the same of the far end


@dataclass(frozen=True, slots=True)
class Asked:
    """What every search needs to know."""

    layout: Layout
    posted: Plan
    firm: frozenset[int]
    stop: Stop
    seed: int
    workers: int
    backend: Backend
    should_stop: ShouldStop


def search(asked: Asked, first: Sequence[int]) -> list[Plan]:
    """A plan for each price, searched from the state `first`: lanes side by side where there are workers, else in turn.

    Where the dearest price found room for fewer boats than another, one more search goes on from that one's plan.
    """
    numbers = {price: number for number, price in enumerate(price for lane in LANES for price in lane)}

    def one(lane: Sequence[MovePrice]) -> list[Plan]:
        return [search_at(asked, first, price, numbers[price], _share(asked, len(lane))) for price in lane]

    with ThreadPoolExecutor(len(LANES) if asked.workers > 1 else 1) as pool:
        plans = [plan for found in pool.map(one, LANES) for plan in found]
    fullest = max(plans, key=lambda plan: len(plan.placements))
    if len(plans[0].placements) < len(fullest.placements):  # the boats that it moved needlessly come home again
        layout = with_homes(asked.layout, asked.posted, asked.firm, FEWEST_MOVES)
        state = empty_state(layout, fullest.berths())
        load_plan(layout, state, fullest)
        plans.append(search_at(asked, state, FEWEST_MOVES, len(numbers), _share(asked, 1)))
    return plans


def search_at(asked: Asked, first: Sequence[int], price: MovePrice, number: int, stop: Stop) -> Plan:
    """One search; `number` sets it apart from the others by its chance.

    While a boat that had a plan, or goes before all, has none and could have one, it goes on `PATIENCE` times as long.
    """
    layout = with_homes(asked.layout, asked.posted, asked.firm, price)
    hot = HOT_FAR if price == FEWEST_DAYS else HOT_LATE_DAYS
    finder = Search(layout, first, seed=asked.seed + number, workers=1, backend=asked.backend, hot=hot)
    seconds = stop.seconds if isinstance(stop, Seconds) else 0.0
    finder.run(stop, deadline=time.monotonic() + seconds, should_stop=asked.should_stop, tell=lambda: None)
    if seconds and _lost(layout, finder.best):
        lost = _lost(layout, finder.best) - never_whole(layout)

        def enough() -> bool:
            return asked.should_stop() or not lost & _lost(layout, finder.best)

        more = PATIENCE * seconds
        finder.run(Seconds(more), deadline=time.monotonic() + more, should_stop=enough, tell=lambda: None)
    return read_plan(layout, finder.best, best=True)


def _lost(layout: Layout, state: Sequence[int]) -> set[int]:
    """Units that had a plan, or whose order goes before all, with work that has no place in a state's best plan."""
    g = layout.g
    return {
        unit
        for unit, jobs in enumerate(layout.units.jobs)
        if any(state[g[e.BEST] + job * g[e.HELD_STRIDE]] < 0 and _is_missed(layout, job) for job in jobs)
    }


def _is_missed(layout: Layout, job: int) -> bool:
    g, problem = layout.g, layout.problem
    if g[g[e.JOB] + job * e.JOB_STRIDE + e.J_PINNED]:
        return False
    had_a_place = g[g[e.HOMES] + job * e.HOME_STRIDE] >= 0
    return bool(had_a_place or problem.orders[problem.jobs[job].order].goes_first >= BEFORE_ALL)


def _share(asked: Asked, in_lane: int) -> Stop:
    """The searches of a lane divide its time; one worker divides it by the lanes, too."""
    if isinstance(asked.stop, Rounds):
        return asked.stop
    return Seconds(asked.stop.seconds / in_lane / (1 if asked.workers > 1 else len(LANES)))
