"""Springs to come: the days on which boats leave drawn about those expected, each boat by herself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from yard.stowing.emptying import empty
from yard.stowing.values import Emptied, Fits, Layout, Store


def drawn_leaving(store: Store, runs: int, seed: int) -> NDArray[np.float64]:
    """Days of leaving, shape (runs, boats): normal about the expected day, with each boat's own spread."""
    rng = np.random.default_rng(seed)
    days = np.array([boat.leaves for boat in store.boats], dtype=np.float64)
    spread = np.array([boat.spread_days for boat in store.boats], dtype=np.float64)
    return days + spread * rng.standard_normal((runs, len(days)))


@dataclass(frozen=True, slots=True)
class Springs:
    """Extra moves in springs that were drawn, the fewest first; stuck: springs in which the apron was too small."""

    extra: tuple[int, ...]
    stuck: int

    def in_so_many_of_ten(self, tenths: int) -> int | None:
        """No more than this in so many springs of ten; None where more of them than that are stuck."""
        every = len(self.extra) + self.stuck
        at = -(-every * tenths // 10)
        return self.extra[at - 1] if 0 < at <= len(self.extra) else None


def live_through(store: Store, layout: Layout, *, runs: int = 200, seed: int = 1) -> Springs:
    """Each drawn spring emptied by the rule of thumb, which knows the order in which all will leave."""
    found, stuck, fits = [], 0, Fits(store)
    for days in drawn_leaving(store, runs, seed):
        order = tuple(int(boat) for boat in np.argsort(days, kind="stable"))
        match empty(store, layout, order, fits):
            case Emptied() as emptied:
                found.append(emptied.extra)
            case _:
                stuck += 1
    return Springs(tuple(sorted(found)), stuck)
