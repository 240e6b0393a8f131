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
        self._known: dict[tuple[int, ...] | bytes, int] = {}

    def add(self, values: Iterable[int]) -> int:
        """Append a table; gives its offset. Equal tables of one make (array or other) stand once."""
        if isinstance(values, np.ndarray):
            key: tuple[int, ...] | bytes = values.tobytes()  # long ones: bytes are hashed ten times as fast as numbers
        else:
            key = tuple(map(int, values))
        if (known := self._known.get(key)) is not None:
            return known
        self._known[key] = at = len(self.g)
        self.g.extend(values.tolist() if isinstance(values, np.ndarray) else key)
        return at

    def space(self, size: int) -> int:
        """Room for a table that is filled in later."""
        at = len(self.g)
        self.g.extend([0] * size)
        return at

    def new_row(self, count: int = 1) -> int:
        """Give out rows that follow one another; gives the first."""
        self.rows += count
        return self.rows - count
