"""What no cutting plan can beat: lower bounds, proved without looking at any plan.

By area; by the longest piece; by pieces of which no two lie side by side; by dual feasible functions of the widths
(duals.py), of which the area is one. A piece that may be turned counts with whichever way asks less.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from yard.cutting.duals import Dual, duals
from yard.cutting.skyline import Kind


def strip_bound(kinds: Sequence[Kind], counts: Sequence[int], width: int, repeat: int) -> int:
    """The least length, in the unit of the kinds, of a strip of this width that holds them all."""
    ways = [ways_of(kind, width) for kind in kinds]
    tallest = max(min(along for _, along in way) for way in ways)
    functions = duals((across for way in ways for across, _ in way), width)
    by_width = max(_weighed(ways, counts, dual) for dual in functions)
    return max(tallest, by_width, _stacked(kinds, ways, counts, width, repeat))


def sheet_bound(kinds: Sequence[Kind], counts: Sequence[int], width: int, length: int) -> int:
    """The least number of sheets. Pairs of dual feasible functions, one for each way."""
    ways = [ways_of(kind, width, length) for kind in kinds]
    across = list(duals((w for way in ways for w, _ in way), width))
    along = list(duals((h for way in ways for _, h in way), length))
    best = 1
    for first in across:
        for second in along:
            total = sum(
                count * min(first.value[w] * second.value[h] for w, h in way)
                for way, count in zip(ways, counts, strict=True)
            )
            best = max(best, -(-total // (first.one * second.one)))
    return best


def ways_of(kind: Kind, width: int, length: int | None = None) -> list[tuple[int, int]]:
    """(across, along) for each way that it may lie and fits."""
    both = [(kind.across, kind.along)] + ([(kind.along, kind.across)] if kind.turns else [])
    return [(w, h) for w, h in both if w <= width and (length is None or h <= length)]


def _weighed(ways: Sequence[list[tuple[int, int]]], counts: Sequence[int], dual: Dual) -> int:
    total = sum(
        count * min(dual.value[across] * along for across, along in way)
        for way, count in zip(ways, counts, strict=True)
    )
    return -(-total // dual.one)


def _stacked(
    kinds: Sequence[Kind], ways: Sequence[list[tuple[int, int]]], counts: Sequence[int], width: int, repeat: int
) -> int:
    """Pieces wider than half lie one after another; those matched alike begin whole repeats apart."""
    wide = [number for number, way in enumerate(ways) if all(2 * across > width for across, _ in way)]
    plain = sum(counts[number] * min(along for _, along in ways[number]) for number in wide)
    if not repeat:
        return plain
    steps: Counter[int] = Counter()
    spared: Counter[int] = Counter()
    for number in wide:
        kind = kinds[number]
        if kind.match >= 0:
            whole = -(-kind.along // repeat) * repeat
            steps[kind.match % repeat] += counts[number] * whole
            spared[kind.match % repeat] = max(spared[kind.match % repeat], whole - kind.along)
    return max([plain, *(steps[match] - spared[match] for match in steps)])
