"""Were the chances right?  Promised dates in groups of like chance, and how many of each group were kept."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

EDGES = (0.0, 0.5, 0.7, 0.85, 0.95, 1.0)
"""Groups [0, 0.5), [0.5, 0.7) .. [0.95, 1]: narrow where promises are made."""
Z_90 = 1.6449
"""Of the standard normal, for nine in ten."""
ENOUGH = 20
"""Fewer promised dates than this say nothing of how sure the odds are (common practice)."""


@dataclass(frozen=True, slots=True)
class Group:
    """Chances in [from_chance, to_chance). said: their mean. kept of count; low, high: where the true share lies, with
    nine chances in ten."""

    from_chance: float
    to_chance: float
    said: float
    count: int
    kept: int
    low: float
    high: float

    @property
    def share(self) -> float:
        return self.kept / self.count


def groups(pairs: Sequence[tuple[float, bool]]) -> tuple[Group, ...]:
    """pairs: the chance that was said of a promised date, and whether it was kept. Groups without a date are left out.

    Raises ValueError for a chance outside 0 to 1.
    """
    if any(not 0 <= chance <= 1 for chance, _ in pairs):
        raise ValueError("a chance lies between 0 and 1")
    found = []
    for low, high in pairwise(EDGES):
        inside = [(chance, kept) for chance, kept in pairs if low <= chance < high or (high == 1.0 and chance == 1.0)]
        if inside:
            kept = sum(was_kept for _, was_kept in inside)
            under, over = wilson(kept, len(inside))
            said = sum(chance for chance, _ in inside) / len(inside)
            found.append(Group(low, high, said, len(inside), kept, under, over))
    return tuple(found)


def wilson(kept: int, count: int, z: float = Z_90) -> tuple[float, float]:
    """The score interval of a share (Wilson, J. of the American Statistical Association 22 (1927) 209).

    Raises ValueError where kept is not within 0 and count, or count is 0.
    """
    if not 0 <= kept <= count or count == 0:
        raise ValueError(f"{kept} of {count} is no share")
    share = kept / count
    middle = share + z * z / (2 * count)
    half = z * math.sqrt(share * (1 - share) / count + z * z / (4 * count * count))
    below = 1 + z * z / count
    low = 0.0 if kept == 0 else (middle - half) / below  # exactly: rounding must not leave the share outside
    high = 1.0 if kept == count else (middle + half) / below
    return low, high
