"""The trade between moving few boats and being few days late: one search for each price of a move.

Each search starts from the first proposal and cools from a temperature too low to take the plan apart.  The prices
are far apart on purpose: at the dearest no lateness that a season knows buys a second boat's move, at the cheapest a
move costs as much as twenty days of waiting.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

from yard.planning.backend import Backend
from yard.planning.improve import Search
from yard.planning.layout import Layout
from yard.planning.plan import Plan
from yard.planning.progress import Rounds, Seconds, ShouldStop, Stop
from yard.planning.reshuffle.homes import MovePrice, with_homes
from yard.planning.state import read_plan

FEWEST_MOVES, BETWEEN, FEWEST_DAYS = MovePrice(8000, 40), MovePrice(600, 10), MovePrice(20, 1)
PRICES = (FEWEST_MOVES, FEWEST_DAYS, BETWEEN)
"""Three searches on two cores share them evenly; in turns of two the third would leave one idle."""
HOT_LATE_DAYS = 0.3  # days late of a boat that goes first once; a plan from scratch starts at 2


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
    """A plan for each price, searched from the state `first`: side by side where there are workers, else in turn."""

    def one(number: int) -> Plan:
        return search_at(asked, first, PRICES[number], number, _share(asked))

    with ThreadPoolExecutor(len(PRICES) if asked.workers > 1 else 1) as pool:
        return list(pool.map(one, range(len(PRICES))))


def search_at(asked: Asked, first: Sequence[int], price: MovePrice, number: int, stop: Stop) -> Plan:
    """One search; `number` sets it apart from the others by its chance."""
    layout = with_homes(asked.layout, asked.posted, asked.firm, price)
    finder = Search(layout, first, seed=asked.seed + number, workers=1, backend=asked.backend, hot=HOT_LATE_DAYS)
    deadline = time.monotonic() + (stop.seconds if isinstance(stop, Seconds) else 0)
    finder.run(stop, deadline=deadline, should_stop=asked.should_stop, tell=lambda: None)
    return read_plan(layout, finder.best, best=True)


def _share(asked: Asked) -> Stop:
    """Side by side each search has all of the time; one worker divides it."""
    if isinstance(asked.stop, Rounds) or asked.workers > 1:
        return asked.stop
    return Seconds(asked.stop.seconds / len(PRICES))
