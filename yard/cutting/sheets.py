"""Pieces on sheets: each goes into the free rectangle that it leaves the least beside, on the first sheet it fits.

Free rectangles are kept as large as can be, overlapping one another ("maximal rectangles", Jylanki, A thousand ways
to pack the bin, 2010; written from its description, from memory).
"""

from __future__ import annotations

import random
from collections.abc import Sequence

from yard.cutting.bound import ways_of
from yard.cutting.orderings import orderings
from yard.cutting.skyline import Kind
from yard.cutting.stopping import Stop

Free = tuple[int, int, int, int]
"""x, y, across, along."""
Laid = tuple[int, int, int, int, bool]
"""kind, sheet, x, y, turned."""


def fewest(
    kinds: Sequence[Kind], counts: Sequence[int], width: int, length: int, *, least: int, stop: Stop, seed: int
) -> list[Laid]:
    """The fewest sheets found; among equals, the least on the last one, so that the offcut is large."""
    chance, over = random.Random(seed), stop.begin()
    starts = orderings(kinds, counts)
    tried = [(order, lay(kinds, order, width, length)) for order in starts]
    order, best = min(tried, key=lambda pair: _cost(kinds, pair[1]))
    cost = _cost(kinds, best)
    while cost[0] > least and len(order) > 1 and not over():
        again = list(order)
        for _ in range(chance.choice((1, 1, 2, 4))):
            first, second = chance.randrange(len(again)), chance.randrange(len(again))
            again[first], again[second] = again[second], again[first]
        laid = lay(kinds, again, width, length)
        if (new := _cost(kinds, laid)) <= cost:
            order, best, cost = again, laid, new
    return best


def lay(kinds: Sequence[Kind], order: Sequence[int], width: int, length: int) -> list[Laid]:
    """One piece for each entry of `order`; every kind fits a sheet one way or the other."""
    free: list[list[Free]] = []
    laid: list[Laid] = []
    for number in order:
        ways = ways_of(kinds[number], width, length)
        for sheet in range(len(free) + 1):
            if sheet == len(free):
                free.append([(0, 0, width, length)])
            if (found := _spot(ways, free[sheet])) is not None:
                x, y, (across, along) = found
                laid.append((number, sheet, x, y, across != kinds[number].across))
                free[sheet] = _without(free[sheet], (x, y, across, along))
                break
    return laid


def _spot(ways: list[tuple[int, int]], free: list[Free]) -> tuple[int, int, tuple[int, int]] | None:
    best = None
    for x, y, wide, long in free:
        for across, along in ways:
            if across <= wide and along <= long:
                beside = sorted((wide - across, long - along))
                if best is None or (beside, y, x) < best[0]:
                    best = ((beside, y, x), (x, y, (across, along)))
    return best[1] if best is not None else None


def _without(free: list[Free], taken: Free) -> list[Free]:
    """What stays free, each rectangle as large as can be and none inside another."""
    tx, ty, tw, tl = taken
    parts: list[Free] = []
    for x, y, w, h in free:
        if tx >= x + w or tx + tw <= x or ty >= y + h or ty + tl <= y:
            parts.append((x, y, w, h))
            continue
        if tx > x:
            parts.append((x, y, tx - x, h))
        if tx + tw < x + w:
            parts.append((tx + tw, y, x + w - tx - tw, h))
        if ty > y:
            parts.append((x, y, w, ty - y))
        if ty + tl < y + h:
            parts.append((x, ty + tl, w, y + h - ty - tl))
    whole = list(dict.fromkeys(parts))
    return [one for one in whole if not any(one != other and _inside(one, other) for other in whole)]


def _inside(one: Free, other: Free) -> bool:
    return (
        one[0] >= other[0]
        and one[1] >= other[1]
        and one[0] + one[2] <= other[0] + other[2]
        and one[1] + one[3] <= other[1] + other[3]
    )


def _cost(kinds: Sequence[Kind], laid: Sequence[Laid]) -> tuple[int, int]:
    last = max((row[1] for row in laid), default=-1)
    return last + 1, sum(kinds[row[0]].across * kinds[row[0]].along for row in laid if row[1] == last)
