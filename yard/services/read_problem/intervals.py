"""Sorted, disjoint, half-open intervals of clock minutes: union, difference, intersection."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

Interval = tuple[int, int]


def union(intervals: Iterable[Interval]) -> tuple[Interval, ...]:
    """Sorted and disjoint; intervals that touch become one, empty ones vanish."""
    merged: list[Interval] = []
    for starts, ends in sorted(pair for pair in intervals if pair[0] < pair[1]):
        if merged and starts <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], ends))
        else:
            merged.append((starts, ends))
    return tuple(merged)


def minus(whole: Sequence[Interval], holes: Sequence[Interval]) -> tuple[Interval, ...]:
    """What of `whole` no hole covers. Both sorted and disjoint."""
    left: list[Interval] = []
    position = 0
    for starts, ends in whole:
        while position < len(holes) and holes[position][1] <= starts:
            position += 1
        at, index = starts, position
        while index < len(holes) and holes[index][0] < ends:
            if at < holes[index][0]:
                left.append((at, holes[index][0]))
            at = max(at, holes[index][1])
            index += 1
        if at < ends:
            left.append((at, ends))
    return tuple(left)


def common(one: Sequence[Interval], two: Sequence[Interval]) -> tuple[Interval, ...]:
    """What both cover. Both sorted and disjoint."""
    shared: list[Interval] = []
    first = second = 0
    while first < len(one) and second < len(two):
        starts = max(one[first][0], two[second][0])
        ends = min(one[first][1], two[second][1])
        if starts < ends:
            shared.append((starts, ends))
        if one[first][1] < two[second][1]:
            first += 1
        else:
            second += 1
    return tuple(shared)
