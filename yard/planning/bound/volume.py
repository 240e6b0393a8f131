"""Prices sought by the volume algorithm: steps from the best prices, along what an average of the answers overdraws.

Barahona and Anbil, Math. Programming 87 (2000).  Prices are whole numbers when the bound is worked out, so the bound
holds to the last unit whatever the steps (which are floats) do.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from yard.planning.axis import Table
from yard.planning.bound import program as p
from yard.planning.bound.prices import Floats, Rows
from yard.planning.bound.sweeping import Sweep

FINE_DAYS = 60  # up to so many days a price for every quarter, beyond for every hour
SHARE = 0.1  # of the newest answer in the average
PATIENCE = 20  # rounds without a better bound, then shorter steps
FIRST_STEP, LONGEST_STEP, SHORTEST_STEP = 0.2, 2.0, 1e-6
SHORTER, LONGER = 0.66, 1.1
AHEAD = 1.1  # aim so far above the best bound
LEAST_AIM_DAYS = 0.2  # and at least so many days late of the order that counts least


class Prices:
    """alone, cost: bounds, in units of cost.  cost_with_one_left_out: the same for plans that leave anybody out."""

    def __init__(self, sweep: Sweep) -> None:
        self.sweep, self.tables = sweep, sweep.tables
        self.rows = Rows(self.tables, 1 if self.tables.axis.days <= FINE_DAYS else 4)
        self.out: Table = np.array(list(sweep.rows[p.R_OUT :: p.R_STRIDE]), dtype=np.int64)
        self.limit = self._limit()
        self.floor = LEAST_AIM_DAYS * self._day()
        self.rounds = 0
        self.best: Floats = np.zeros((self.rows.sets, self.rows.stretches))
        self.cost = self.alone = self.cost_with_one_left_out = 0
        if self.tables.scale and len(self.out):
            self.least, self.average = self._answer(self.best)
            self.alone = self.cost

    def search(self, over: Callable[[], bool], known: int | None = None) -> None:
        """Look for better prices until told, or until nothing more can come of it."""
        step, waited = FIRST_STEP, 0
        while self.tables.scale and len(self.out) and not over() and step > SHORTEST_STEP:
            if known is not None and self.cost >= known:
                return
            wanted = self.average - self.rows.capacity
            wanted = np.where((self.best > 0) | (wanted > 0), wanted, 0)
            length = float((wanted * wanted).sum())
            if length < 1e-9:
                return  # the average keeps within what there is: no prices of this kind prove more
            aim = max(self.least * (AHEAD - 1), self.floor)
            before = self.least
            prices = np.clip(self.best + step * aim / length * wanted, 0, self.limit)
            least, taken = self._answer(prices)
            self.rounds += 1
            along = float(((taken - self.rows.capacity) * wanted).sum())
            self.average = SHARE * taken + (1 - SHARE) * self.average
            if least > before:
                self.least, self.best, waited = least, prices, 0
                step = min(LONGEST_STEP, step * LONGER) if along > 0 else step
            else:
                waited += 1
                if waited >= PATIENCE:
                    step, waited = step * SHORTER, 0

    def of_options(self) -> Table:
        """The price of every option at the best prices found."""
        return self.rows.of_options(_whole(self.best))

    def there(self) -> int:
        """All that there is, at the best prices found (in parts)."""
        return self._there(_whole(self.best))

    def _answer(self, prices: Floats) -> tuple[int, Floats]:
        """The bound at these prices (in parts; it is kept where it is the best), and what the answer takes."""
        whole = _whole(prices)
        found, chosen = self.sweep.at(self.rows.of_options(whole))
        orders = sum(found.tolist())
        least = orders - self._there(whole)
        cost = -(-least // self.tables.scale)
        self.cost = max(self.cost, cost)
        spared = least + min((self.out - found).tolist())  # one order at least costs what she does when left out
        self.cost_with_one_left_out = max(self.cost_with_one_left_out, -(-spared // self.tables.scale))
        return least, self.rows.taken(chosen).astype(np.float64)

    def _there(self, prices: Table) -> int:
        """All that there is, at these prices: in two halves, so that 64 bits are enough."""
        high, low = prices >> 20, prices & ((1 << 20) - 1)
        return (int((high * self.rows.capacity).sum()) << 20) + int((low * self.rows.capacity).sum())

    def _day(self) -> float:
        """What the least costly day late is, in parts; a unit of cost where lateness costs nothing."""
        late = [int(price) for price in self.sweep.rows[p.R_LATE :: p.R_STRIDE] if price > 0]
        return float(min(late, default=self.tables.scale))

    def _limit(self) -> float:
        """The highest price: what the dearest order costs when left out, and no more than 64 bits bear."""
        if not len(self.tables.start) or not len(self.out):
            return 0.0
        longest = int((self.tables.hold - self.tables.start).max())
        wanted = 1
        for table in (self.rows.by_load, self.rows.by_ground):
            if table.size:
                wanted += int(table.sum(axis=1).max())
        jobs = max(
            self.sweep.rows[at + p.R_JOBS] - self.sweep.rows[at + p.R_JOB]
            for at in range(0, len(self.sweep.rows), p.R_STRIDE)
        )
        return float(min(int(self.out.max()), (p.NEVER >> 1) // (longest * wanted * int(jobs))))


def _whole(prices: Floats) -> Table:
    """Prices as the bound is worked out with them."""
    return np.floor(prices).astype(np.int64)
