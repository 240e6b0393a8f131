"""Prices on people and places by stretches of the day: what an order takes, and what there is.

A row is (a set of needs or places, a stretch of so many quarters of one day).  What all jobs take of it is never more
than there is: of a set of needs (skill and level) the quarters of everybody who has one of them, of a set of places
the quarters of their units; pinned jobs taken off both.  So a plan's cost is at least what the orders cost at prices
of zero or more on the rows, each order for itself, less what there is at those prices (Lagrange; Held and Karp, Math.
Programming 1, 1971).
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
import numpy.typing as npt

from yard.planning.axis import Table
from yard.planning.bound.hands import Mask
from yard.planning.bound.tables import Tables

MAX_SUBSETS_OF = 6  # needs: up to so many, every set of them has prices; beyond, singles, pairs and all together
Floats = npt.NDArray[np.float64]


class Rows:
    """`capacity`: quarters, by (set, stretch); sets of needs first, then sets of places."""

    def __init__(self, tables: Tables, stretch: int) -> None:
        self.tables, axis = tables, tables.axis
        self.size = axis.days << axis.shift
        quarter = np.arange(self.size) & ((1 << axis.shift) - 1)
        self.per_day = -(-axis.quarters // stretch)
        self.stretches = self.per_day * axis.days
        self.stretch_of = (np.arange(self.size) >> axis.shift) * self.per_day + np.minimum(
            quarter // stretch, self.per_day - 1
        )
        self.inside = quarter < axis.quarters
        needs = sorted({(skill, level) for load, _counted in tables.loads for skill, level, _count in load})
        self.need_sets = _sets(needs)
        spots = sorted({spot for ground in tables.grounds for spot, _units in ground}, key=sorted)
        self.place_sets = sorted({*spots, *(a | b for a, b in combinations(spots, 2) if a & b)}, key=sorted)
        self.by_load = np.array(
            [
                [sum(n for skill, level, n in load if (skill, level) in chosen) for chosen in self.need_sets]
                for load, _ in tables.loads
            ],
            dtype=np.int64,
        ).reshape(len(tables.loads), len(self.need_sets))
        self.by_ground = np.array(
            [
                [sum(units for spot, units in ground if spot <= chosen) for chosen in self.place_sets]
                for ground in tables.grounds
            ],
            dtype=np.int64,
        ).reshape(len(tables.grounds), len(self.place_sets))
        self.sets = len(self.need_sets) + len(self.place_sets)
        people = [self._people(chosen) for chosen in self.need_sets]
        places = [self._places(chosen) for chosen in self.place_sets]
        self.loaded = [self._taking(tables.load == number, tables.end) for number in range(len(tables.loads))]
        self.grounded = [self._taking(tables.ground == number, tables.hold) for number in range(len(tables.grounds))]
        self.capacity = np.array([*people, *places], dtype=np.int64).reshape(self.sets, self.stretches)

    # what there is ---------------------------------------------------------------------------------------------------
    def _summed(self, mask: npt.NDArray[np.generic]) -> Table:
        return np.bincount(self.stretch_of, weights=np.where(self.inside, mask, 0), minlength=self.stretches).astype(
            np.int64
        )

    def _people(self, chosen: frozenset[tuple[str, int]]) -> Table:
        found = np.zeros(self.stretches, dtype=np.int64)
        for number, person in enumerate(self.tables.problem.people):
            if any(person.skills.get(skill, 0) >= level for skill, level in chosen):
                found += self._person(number)
        return found

    def _person(self, number: int) -> Table:
        """Quarters that one person can be booked for in each stretch: with a slide, no longer than its span."""
        tables = self.tables
        wide, axis = tables.widest[number], tables.axis
        quarters = self._summed(wide)
        slide = tables.problem.people[number].slide
        if slide is None:
            return quarters
        normal = axis.words(tables.problem.people[number].hours)
        for day, word in enumerate(normal):
            span = word.bit_length() - (word & -word).bit_length() + 1 if word else slide.span_min // 15
            own = wide[day << axis.shift : (day << axis.shift) + axis.quarters].astype(np.int64)
            most = int(np.convolve(own, np.ones(max(1, span), dtype=np.int64)).max()) if span else 0
            rows = slice(day * self.per_day, (day + 1) * self.per_day)
            quarters[rows] = np.minimum(quarters[rows], most)
        return quarters

    def _places(self, chosen: frozenset[int]) -> Table:
        axis, problem = self.tables.axis, self.tables.problem
        free = np.zeros(self.size, dtype=np.int64)
        for place in chosen:
            free += problem.places[place].capacity
            for unit in range(problem.places[place].capacity):
                taken = np.zeros(self.size, dtype=bool)
                for pin in problem.pins:
                    if (place, unit) in pin.places:
                        taken[axis.inner(pin.starts_at) : axis.inner_end(pin.ends_at)] = True
                free -= taken
        return self._summed(free)

    def _taking(self, mine: Mask, ends: Table) -> tuple[Table, Table, Table]:
        """The options that take something, with their starts and ends."""
        at = np.flatnonzero(mine)
        return at, self.tables.start[at], ends[at]

    # what is asked and taken -----------------------------------------------------------------------------------------
    def of_options(self, prices: Table) -> Table:
        """The price of every option at prices a quarter, by (set, stretch)."""
        tables = self.tables
        people, places = prices[: len(self.need_sets)], prices[len(self.need_sets) :]
        found = np.zeros(len(tables.start), dtype=np.int64)
        for number, (_load, counted) in enumerate(tables.loads):
            self._ask(found, self.by_load[number] @ people, tables.counted[counted], self.loaded[number])
        for number in range(len(tables.grounds)):
            self._ask(found, self.by_ground[number] @ places, self.inside, self.grounded[number])
        return found

    def _ask(self, found: Table, price: Table, counted: Mask, taking: tuple[Table, Table, Table]) -> None:
        if not price.any():
            return
        before = np.zeros(self.size + 1, dtype=np.int64)
        np.cumsum(np.where(counted, price[self.stretch_of], 0), out=before[1:])
        at, starts, ends = taking
        found[at] += before[ends] - before[starts]

    def taken(self, chosen: Table) -> Table:
        """Quarters that the chosen options take, by (set, stretch)."""
        tables = self.tables
        chosen = chosen[chosen >= 0]
        found = np.zeros((self.sets, self.stretches), dtype=np.int64)
        needs = len(self.need_sets)
        for number, (_load, counted) in enumerate(tables.loads):
            mine = chosen[tables.load[chosen] == number]
            if len(mine):
                found[:needs] += self.by_load[number][:, None] * self._used(mine, tables.end, tables.counted[counted])
        for number in range(len(tables.grounds)):
            mine = chosen[tables.ground[chosen] == number]
            if len(mine):
                found[needs:] += self.by_ground[number][:, None] * self._used(mine, tables.hold, self.inside)
        return found

    def _used(self, chosen: Table, ends: Table, counted: Mask) -> Table:
        steps = np.zeros(self.size + 1, dtype=np.int64)
        np.add.at(steps, self.tables.start[chosen], 1)
        np.add.at(steps, ends[chosen], -1)
        return self._summed(np.where(counted, np.cumsum(steps[:-1]), 0))


def _sets(needs: list[tuple[str, int]]) -> list[frozenset[tuple[str, int]]]:
    if len(needs) <= MAX_SUBSETS_OF:
        sizes = range(1, len(needs) + 1)
        return [frozenset(chosen) for size in sizes for chosen in combinations(needs, size)]
    pairs = [frozenset(pair) for pair in combinations(needs, 2)]
    return [*(frozenset((need,)) for need in needs), *pairs, frozenset(needs)]
