"""Filling the store so that spring needs few extra moves: a first filling, then boats moved and exchanged.

Rows are filled by who leaves last first, each boat where she keeps the row's order and her own dates; whoever is left
goes where she is least in the way. Then a boat is taken to another place, or two are exchanged, as long as `stop` lets;
a change is kept if it costs no more, and now and then if it costs a little more (annealing). Cost: boats that stand
before one expected to leave sooner, then the same in springs that were drawn.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

import numpy as np

from yard.stowing.days import days_of
from yard.stowing.draws import drawn_leaving
from yard.stowing.stopping import Rounds, Stop
from yard.stowing.values import Fits, Layout, NoRoom, Store, StowPlan, launch_order

LONG = Rounds(4_000)
SPRINGS = 24
WARM, COLD = 0.8, 0.05
"""Of the annealing, in badly placed boats."""


@dataclass(frozen=True, slots=True)
class _Change:
    """Rows as they would be, by number."""

    rows: dict[int, list[int]]


class Filling:
    """A store while it is filled. rank: of each boat in the expected order."""

    def __init__(self, store: Store, seed: int) -> None:
        self.store = store
        self.rng = random.Random(seed)
        order = launch_order(store.boats)
        self.rank = [0] * len(store.boats)
        for place, boat in enumerate(order):
            self.rank[boat] = place
        drawn = drawn_leaving(store, SPRINGS, seed) if store.boats else np.zeros((0, 0))
        expected = np.array([self.rank], dtype=np.float64)
        self.leaving = np.ascontiguousarray(np.vstack([expected, drawn]).T) if store.boats else drawn
        self.fixed = [len(row) for row in store.standing]
        self.fits = Fits(store)
        self.takes = self.fits.takes
        self.rows: list[list[int]] = [list(row) for row in store.standing]
        self.costs = [self.cost_of(number, row) for number, row in enumerate(self.rows)]

    def cost_of(self, number: int, row: list[int]) -> float:
        """Badly placed boats of a row; drawn springs count for less than one boat, all of them together."""
        if len(row) < 2:
            return 0.0
        leaving = self.leaving[row]
        first = np.minimum.accumulate(leaving, axis=0)
        worse = (leaving[1:] > first[:-1]).sum(axis=0)
        return float(worse[0]) + float(worse[1:].sum()) / (SPRINGS * len(self.store.boats))

    def allowed(self, number: int, row: list[int]) -> bool:
        """Room and dates along the row; the days' limit is looked at for all rows together."""
        fits = self.fits
        if len(row) > fits.most[number] or fits.taken_m(row) - fits.gap_m > fits.length_m[number]:
            return False
        day = -(1 << 60)
        boats = self.store.boats
        for boat in row[self.fixed[number] :]:
            first, last = boats[boat].comes
            day = max(day, first)
            if day > last or not self.takes[number][boat]:
                return False
        return True

    def places_for(self, boat: int, number: int) -> list[tuple[float, int, list[int]]]:
        """(what it costs more, number, the row) for every place of a row where she may stand."""
        row = self.rows[number]
        found = []
        for place in range(self.fixed[number], len(row) + 1):
            with_her = [*row[:place], boat, *row[place:]]
            if self.allowed(number, with_her):
                found.append((self.cost_of(number, with_her) - self.costs[number], number, with_her))
        return found

    def put(self, number: int, row: list[int]) -> None:
        self.rows[number] = row
        self.costs[number] = self.cost_of(number, row)

    def put_all(self, rows: dict[int, list[int]]) -> None:
        for number, row in rows.items():
            self.put(number, row)

    def layout(self) -> Layout:
        return tuple(tuple(row) for row in self.rows)

    def begin(self) -> list[int]:
        """The first filling; gives those for whom no place was found. The longest and widest have the fewest rows."""
        coming = sorted(self.store.coming, key=lambda boat: -self.rank[boat])
        left = [boat for boat in coming if not self._on_top(boat)]
        lost = []
        for boat in left:
            found = [way for number in range(len(self.rows)) for way in self.places_for(boat, number)]
            if not found:
                lost.append(boat)
                continue
            _, number, row = min(found, key=lambda way: way[:2])
            self.put(number, row)
        return lost

    def _on_top(self, boat: int) -> bool:
        """Outermost in the row where she is no trouble; of these the one in which the least room is left, then time."""
        best: tuple[int, int, int] | None = None
        for number, row in enumerate(self.rows):
            if any(self.rank[each] < self.rank[boat] for each in row) or not self.allowed(number, [*row, boat]):
                continue
            narrow = sum(self.takes[number])
            day = max((self.store.boats[each].comes[0] for each in row[self.fixed[number] :]), default=-(1 << 60))
            key = (narrow, -day, number)
            best = key if best is None else min(best, key)
        if best is None:
            return False
        self.put(best[2], [*self.rows[best[2]], boat])
        return True

    def change(self) -> _Change | None:
        """A boat taken to another place, or two exchanged; None where the one that was drawn may not be."""
        full = [number for number, row in enumerate(self.rows) if len(row) > self.fixed[number]]
        if not full:
            return None
        number = self._drawn_row(full)
        place = self.rng.randrange(self.fixed[number], len(self.rows[number]))
        other = self.rng.randrange(len(self.rows))
        row = self.rows[number]
        boat = row[place]
        if self.rng.random() < 0.5 and len(self.rows[other]) > self.fixed[other] and other != number:
            there = self.rng.randrange(self.fixed[other], len(self.rows[other]))
            first, second = row.copy(), self.rows[other].copy()
            first[place], second[there] = second[there], boat
            rows = {number: self._in_order(number, first), other: self._in_order(other, second)}
        else:
            without = [*row[:place], *row[place + 1 :]]
            target = without if other == number else self.rows[other]
            at = self.rng.randint(self.fixed[other], len(target))
            with_her = [*target[:at], boat, *target[at:]]
            rows = {number: with_her} if other == number else {number: without, other: self._in_order(other, with_her)}
        return _Change(rows) if all(self.allowed(each, row) for each, row in rows.items()) else None

    def _drawn_row(self, full: list[int]) -> int:
        """Rows with somebody badly placed are drawn more often than the others."""
        bad = [number for number in full if self.costs[number] >= 1]
        return self.rng.choice(bad if bad and self.rng.random() < 0.7 else full)

    def _in_order(self, number: int, row: list[int]) -> list[int]:
        """Whoever leaves last innermost, if her dates let: half of the time, for an exchange seldom lands well."""
        if self.rng.random() < 0.5:
            return row
        fixed = self.fixed[number]
        sorted_row = [*row[:fixed], *sorted(row[fixed:], key=lambda boat: -self.rank[boat])]
        return sorted_row if self.allowed(number, sorted_row) else row


def fill(store: Store, *, stop: Stop = LONG, seed: int = 1) -> StowPlan | NoRoom:
    """The best filling found. NoRoom names those for whom no place was found (that none exists is not proved)."""
    filling = Filling(store, seed)
    lost = filling.begin()
    if lost:
        lost = _squeeze_in(filling, lost)
    if lost:
        return NoRoom(tuple(lost))
    best = _Best(store, filling)
    over, rounds = stop.begin(), 0
    most = stop.count if isinstance(stop, Rounds) else LONG.count
    while not over() and not best.cannot_be_bettered:
        rounds += 1
        heat = WARM * (COLD / WARM) ** min(1.0, rounds / most)
        change = filling.change()
        if change is not None:
            best.consider(change, heat)
    return NoRoom(store.coming) if best.days is None else StowPlan(best.layout, best.days)


class _Best:
    """The best filling so far whose days can be kept, and the one that is looked at now."""

    def __init__(self, store: Store, filling: Filling) -> None:
        self.store, self.filling = store, filling
        self.layout = filling.layout()
        self.least = self.now = sum(filling.costs)
        self.days = days_of(store, self.layout)

    @property
    def cannot_be_bettered(self) -> bool:
        """Nobody is badly placed, in no spring that was drawn."""
        return self.days is not None and self.least < 1 / (SPRINGS * max(1, len(self.store.boats))) / 2

    def consider(self, change: _Change, heat: float) -> None:
        filling = self.filling
        before = {number: filling.rows[number] for number in change.rows}
        costs = {number: filling.cost_of(number, row) for number, row in change.rows.items()}
        more = sum(costs.values()) - sum(filling.costs[number] for number in costs)
        if more > 0 and filling.rng.random() >= math.exp(-more / heat):
            return
        filling.put_all(change.rows)
        self.now += more
        if self.days is not None and self.now >= self.least - 1e-9:
            return
        found = days_of(self.store, filling.layout())
        if found is not None:
            self.layout, self.least, self.days = filling.layout(), self.now, found
        elif self.days is not None:
            filling.put_all(before)
            self.now -= more


def _squeeze_in(filling: Filling, lost: list[int], tries: int = 4_000) -> list[int]:
    """Exchange at random until there is a place for those who have none."""
    for _ in range(tries):
        if not lost:
            break
        change = filling.change()
        if change is not None:
            filling.put_all(change.rows)
        found = [way for number in range(len(filling.rows)) for way in filling.places_for(lost[-1], number)]
        if found:
            _, number, row = min(found, key=lambda way: way[:2])
            filling.put(number, row)
            lost = lost[:-1]
    return lost
