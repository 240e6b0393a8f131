"""The days on which boats come, for a layout: each inside her dates, inner before outer, so many a day at most."""

from __future__ import annotations

from heapq import heappop, heappush

from yard.stowing.values import Layout, Store


def days_of(store: Store, layout: Layout) -> dict[int, int] | None:
    """Near the days that owners want; None where no days keep everything.

    Dates are narrowed along each row (who stands inside comes no later), then boats are taken by earliest last day:
    with jobs of one day this finds days whenever there are any.
    """
    narrowed = _narrowed(store, layout)
    if narrowed is None:
        return None
    wished = _wished(store, layout, narrowed)
    return _spread(store, wished) or _spread(store, narrowed)


def _narrowed(store: Store, layout: Layout) -> dict[int, tuple[int, int, int]] | None:
    """For each coming boat: first and last day that the row leaves her, and her place in it."""
    found: dict[int, tuple[int, int, int]] = {}
    here = store.standing_set
    for row in layout:
        coming = [boat for boat in row if boat not in here]
        day, firsts = -(1 << 60), []
        for boat in coming:
            day = max(day, store.boats[boat].comes[0])
            firsts.append(day)
        day = 1 << 60
        for place in range(len(coming) - 1, -1, -1):
            day = min(day, store.boats[coming[place]].comes[1])
            if firsts[place] > day:
                return None
            found[coming[place]] = (firsts[place], day, place)
    return found


def _wished(store: Store, layout: Layout, narrowed: dict[int, tuple[int, int, int]]) -> dict[int, tuple[int, int, int]]:
    """Nobody before the day that her owner wants, as far as her row leaves it."""
    found = {}
    for row in layout:
        day = -(1 << 60)
        for boat in row:
            if boat in narrowed:
                first, last, place = narrowed[boat]
                day = max(day, first, min(store.boats[boat].wanted, last))
                found[boat] = (day, last, place)
    return found


def _spread(store: Store, dates: dict[int, tuple[int, int, int]]) -> dict[int, int] | None:
    waiting = sorted(dates, key=lambda boat: dates[boat][0])
    ready: list[tuple[int, int, int]] = []
    found: dict[int, int] = {}
    at, day = 0, 0
    while at < len(waiting) or ready:
        if not ready:
            day = max(day, dates[waiting[at]][0]) if found else dates[waiting[at]][0]
        while at < len(waiting) and dates[waiting[at]][0] <= day:
            _, last, place = dates[waiting[at]]
            heappush(ready, (last, place, waiting[at]))
            at += 1
        for _ in range(min(store.most_a_day, len(ready))):
            last, _, boat = heappop(ready)
            if day > last:
                return None
            found[boat] = day
        day += 1
    return found
