"""When to stop looking for a better way to fill the store."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from time import monotonic


@dataclass(frozen=True, slots=True)
class Rounds:
    """After so many changes were tried: the same seed gives the same plan on every machine."""

    count: int

    def begin(self) -> Callable[[], bool]:
        left = self.count

        def over() -> bool:
            nonlocal left
            left -= 1
            return left < 0

        return over


@dataclass(frozen=True, slots=True)
class Seconds:
    """After so much time."""

    seconds: float

    def begin(self) -> Callable[[], bool]:
        ends = monotonic() + self.seconds
        return lambda: monotonic() >= ends


Stop = Rounds | Seconds
