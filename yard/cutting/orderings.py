"""The usual orders in which pieces are laid: large ones first, by each measure that books of packing name."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from yard.cutting.skyline import Kind

Measure = Callable[[Kind], tuple[int, int]]
MEASURES: tuple[Measure, ...] = (
    lambda row: (row.along, row.across),
    lambda row: (row.across, row.along),
    lambda row: (row.along * row.across, row.along),
    lambda row: (row.along + row.across, row.along),
    lambda row: (max(row.along, row.across), min(row.along, row.across)),
)


def orderings(kinds: Sequence[Kind], counts: Sequence[int]) -> list[list[int]]:
    """Numbers of kinds, each as often as it is needed, once by each measure."""
    found = []
    for measure in MEASURES:
        sized = sorted(((measure(kind), number) for number, kind in enumerate(kinds)), reverse=True)
        found.append([number for _, number in sized for _ in range(counts[number])])
    return found
