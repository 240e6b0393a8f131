"""The engine's flat table of integers while it grows, and what stands in it by name."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from yard.planning import engine as e


class Tables:
    """`g`: the engine's constant table, header first.  `rows`: rows of free words given out so far."""

    def __init__(self) -> None:
        self.g: list[int] = [0] * e.HEADER
        self.rows = 0
        self._known: dict[tuple[int, ...], int] = {}

    def add(self, values: Iterable[int]) -> int:
        """Append a table; gives its offset. Equal tables stand once."""
        table = tuple(values.tolist()) if isinstance(values, np.ndarray) else tuple(int(value) for value in values)
        if table not in self._known:
            self._known[table] = len(self.g)
            self.g.extend(table)
        return self._known[table]

    def space(self, size: int) -> int:
        """Room for a table that is filled in later."""
        at = len(self.g)
        self.g.extend([0] * size)
        return at

    def new_row(self, count: int = 1) -> int:
        """Give out rows that follow one another; gives the first."""
        self.rows += count
        return self.rows - count
