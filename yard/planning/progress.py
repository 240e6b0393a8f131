"""When to stop, and what is told meanwhile."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

from yard.speech import gettext_noop

Phase = Literal["compiling", "first plan", "improving", "proving"]
PHASES: Mapping[Phase, str] = {
    "compiling": gettext_noop("compiling"),
    "first plan": gettext_noop("first plan"),
    "improving": gettext_noop("improving"),
    "proving": gettext_noop("proving"),
}
"""The words for each, said by `_`."""


@dataclass(frozen=True, slots=True)
class Seconds:
    """Stop after this much wall clock."""

    seconds: float

    def __post_init__(self) -> None:
        if not self.seconds >= 0:
            raise ValueError(f"a search of {self.seconds} seconds cannot be")


@dataclass(frozen=True, slots=True)
class Rounds:
    """Stop after this many rounds of each worker: with one seed and number of workers, one plan."""

    rounds: int

    def __post_init__(self) -> None:
        if self.rounds < 0:
            raise ValueError(f"a search of {self.rounds} rounds cannot be")


Stop = Seconds | Rounds


@dataclass(frozen=True, slots=True)
class Progress:
    """Where the search stands. cost, late_orders, left_out (boats): of the best plan, None before there is one.

    compiling: the problem is turned into tables, or the engine into machine code, which a machine does once.
    rounds: of each worker so far.
    """

    elapsed_s: float
    cost: int | None
    late_orders: int | None
    left_out: int | None
    phase: Phase
    rounds: int = 0


OnProgress = Callable[[Progress], None]
ShouldStop = Callable[[], bool]
