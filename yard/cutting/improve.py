"""Better orders for the skyline, found by trying: the usual orderings first, then swaps that are kept if not worse."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

from yard.cutting.orderings import orderings
from yard.cutting.skyline import Kind, Spot, lay
from yard.cutting.stopping import Stop

RESTART_AFTER = 150
"""Swaps without a gain before another ordering is begun from (measured on the published instances: 60 to 400 alike)."""
SHUFFLED = 0.3
"""How often a climb begins from no ordering at all."""


def shortest(
    kinds: Sequence[Kind], counts: Sequence[int], width: int, repeat: int, *, least: int, stop: Stop, seed: int
) -> list[Spot]:
    """The shortest way found of laying all pieces on a strip; ends at once where one is as short as `least`."""
    chance = random.Random(seed)
    over = stop.begin()
    starts = orderings(kinds, counts)
    best: list[Spot] = []
    best_cost = (1 << 60, 0.0)
    for order in starts:
        for scored in (True, False):
            spots = lay(kinds, order, width, repeat, scored=scored)
            if (cost := _cost(kinds, spots)) < best_cost:
                best, best_cost = spots, cost
        if best_cost[0] <= least:
            return best
    begin = 0
    while not over():
        order = list(starts[begin % len(starts)])
        spots, cost = _climb(kinds, order, width, repeat, best_cost, least, over, chance, scored=bool(begin % 3))
        if cost < best_cost:
            best, best_cost = spots, cost
        if best_cost[0] <= least:
            return best
        begin += 1
    return best


def _climb(
    kinds: Sequence[Kind],
    order: list[int],
    width: int,
    repeat: int,
    best_cost: tuple[int, float],
    least: int,
    over: Callable[[], bool],
    chance: random.Random,
    *,
    scored: bool,
) -> tuple[list[Spot], tuple[int, float]]:
    """Swap two, or move one, as long as it is not worse; until nothing was gained for a while."""
    if chance.random() < SHUFFLED:
        chance.shuffle(order)
    spots = lay(kinds, order, width, repeat, scored=scored)
    cost = _cost(kinds, spots)
    best, best_found, idle = spots, cost, 0
    while idle < RESTART_AFTER and len(order) > 1 and cost[0] > least and not over():
        tried = list(order)
        _stir(tried, chance)
        spots = lay(kinds, tried, width, repeat, scored=scored)
        new = _cost(kinds, spots)
        idle += 1
        if new <= cost:
            idle = 0 if new < cost else idle
            order, cost = tried, new
            if new < best_found:
                best, best_found = spots, new
    return best, best_found


def _stir(order: list[int], chance: random.Random) -> None:
    first, second = chance.randrange(len(order)), chance.randrange(len(order))
    if chance.random() < 0.5:
        order[first], order[second] = order[second], order[first]
    else:
        order.insert(second, order.pop(first))


def _cost(kinds: Sequence[Kind], spots: Sequence[Spot]) -> tuple[int, float]:
    """Its length; among equals, the one whose pieces end lower on the whole."""
    tops = [spot.y + (kinds[spot.kind].across if spot.turned else kinds[spot.kind].along) for spot in spots]
    return max(tops, default=0), float(sum(top * top for top in tops))
