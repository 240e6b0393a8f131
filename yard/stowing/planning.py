"""The front door: how the store is to be filled, beside first come and what no filling beats."""

from __future__ import annotations

from dataclasses import dataclass

from yard.stowing.bound import least_extra_moves
from yard.stowing.check import count_extra_moves, plan_faults
from yard.stowing.draws import Springs, live_through
from yard.stowing.emptying import fewest
from yard.stowing.exact import best_filling
from yard.stowing.filling import fill
from yard.stowing.first_come import first_come
from yard.stowing.stopping import Rounds
from yard.stowing.values import Emptied, NoRoom, Store, StowPlan, Stuck, launch_order

FEW = 7
"""So many boats are tried every way."""
TRIES = 3


class FaultyStowing(RuntimeError):
    """The check found a fault in a plan of our own."""


@dataclass(frozen=True, slots=True)
class Stowed:
    """plan: how the store is filled; emptied: how spring empties it, in the expected order.

    first_come: what filling as they come would need, Stuck or NoRoom where it does not work at all; at_least: no
    filling needs fewer (for a few boats every filling was tried, each emptied by moving only who is in the way).
    springs: extra moves if they leave in other orders.
    """

    plan: StowPlan
    emptied: Emptied | Stuck
    first_come: Emptied | Stuck | NoRoom
    at_least: int
    springs: Springs

    @property
    def proved(self) -> bool:
        """Whether no filling needs fewer."""
        return isinstance(self.emptied, Emptied) and self.emptied.extra == self.at_least


def stow(store: Store, *, rounds: int = 3_000, runs: int = 200, seed: int = 1) -> Stowed | NoRoom:
    """The same store, rounds and seed give the same plan. Raises FaultyStowing, which would be our own fault."""
    found = _best(store, rounds, seed)
    if isinstance(found, NoRoom):
        return found
    plan, emptied, at_least = found
    order = launch_order(store.boats)
    if faults := plan_faults(store, plan):
        raise FaultyStowing(faults[0])
    if isinstance(emptied, Emptied) and count_extra_moves(store, plan, order, emptied.steps) != emptied.extra:
        raise FaultyStowing("the steps do not have as many extra moves as they say")
    came = first_come(store)
    compared = came if isinstance(came, NoRoom) else fewest(store, came.layout, order, nodes=2_000)
    return Stowed(plan, emptied, compared, at_least, live_through(store, plan.layout, runs=runs))


def _best(store: Store, rounds: int, seed: int) -> tuple[StowPlan, Emptied | Stuck, int] | NoRoom:
    """With what no filling beats."""
    if 0 < len(store.coming) <= FEW:
        exact = best_filling(store, nodes=20_000)
        if isinstance(exact, NoRoom):
            return exact
        if exact is not None:
            return *exact, exact[1].extra
    order, least = launch_order(store.boats), least_extra_moves(store)
    best: tuple[StowPlan, Emptied | Stuck] | None = None
    for number in range(TRIES):
        plan = fill(store, stop=Rounds(rounds), seed=seed + number)
        if isinstance(plan, NoRoom):
            continue
        emptied = fewest(store, plan.layout, order, nodes=2_000)
        if best is None or _extra(emptied) < _extra(best[1]):
            best = plan, emptied
        if _extra(emptied) == least:
            break
    return NoRoom(store.coming) if best is None else (*best, least)


def _extra(emptied: Emptied | Stuck) -> int:
    return emptied.extra if isinstance(emptied, Emptied) else 1 << 30
