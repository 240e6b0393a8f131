"""The exact programs of all orders, swept at given prices: compiled where numba is there, else interpreted."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np

from yard.planning import backend as backends
from yard.planning.axis import Table
from yard.planning.backend import Backend
from yard.planning.bound import program as p
from yard.planning.bound.tables import Tables


def load(name: Backend) -> ModuleType:
    """The program for this backend, loaded once."""
    if name == "python":
        return p
    full = f"{p.__name__}_numba"
    if full not in sys.modules:
        spec = importlib.util.spec_from_file_location(full, Path(p.__file__))
        if spec is None or spec.loader is None:
            raise backends.BackendMissing(f"{p.__file__} cannot be loaded")
        module = importlib.util.module_from_spec(spec)
        sys.modules[full] = module
        spec.loader.exec_module(module)
    return sys.modules[full]


class Sweep:
    """The orders of one Problem, in the order of `Tables.orders`."""

    def __init__(self, tables: Tables, backend: Backend) -> None:
        self.tables, self.backend, self.program = tables, backend, load(backend)
        self.days, self.shift = tables.axis.days, tables.axis.shift
        options = max(1, len(tables.start))
        self.columns = tuple(map(self._made, (tables.start, tables.ready, tables.latest, tables.end_day)))
        self.trees, self.modes, self.rows = (self._made(x) for x in (tables.trees, tables.modes, tables.rows))
        sizes = (options, options, options, self.days + 1, self.days + 1, self.days + 1)
        self.scratch = tuple(self._made(np.zeros(size, dtype=np.int64)) for size in sizes)
        self.orders = len(tables.orders)
        self.found = self._made([0, -1, -1] * self.orders)
        self.chosen = self._made([-1] * len(tables.jobs))
        self.tries = self._tries()

    def _made(self, values: Any) -> Any:
        array = np.asarray(values, dtype=np.int64)
        return array.tolist() if self.backend == "python" else np.ascontiguousarray(array)

    def at(self, price: Table) -> tuple[Table, Table]:
        """What each order costs at these prices of its options, and the option that each job takes (-1: left out)."""
        self.program.sweep(
            self.columns,
            self.trees,
            self.modes,
            self._made(price),
            self.scratch,
            self.rows,
            self.tries,
            self.found,
            self.chosen,
            self.days,
            self.shift,
        )
        return np.array(self.found[:: p.F_STRIDE], dtype=np.int64), np.array(self.chosen, dtype=np.int64)

    def least(self, order: int, price: Table) -> int:
        """What one order costs at these prices of its options, at most what it does when it is left out."""
        found = self._made([0, -1, -1])
        self.program.cheapest(
            self.columns,
            self.trees,
            self.modes,
            self._made(price),
            self.scratch,
            self.rows,
            order * p.R_STRIDE,
            self.tries,
            found,
            0,
            self.days,
            self.shift,
        )
        return int(found[p.F_PRICE])

    def _tries(self) -> tuple[Any, Any]:
        """By order: first days in rising order of what she costs alone, and that; how many go into her row."""
        last = self._made(np.full(self.orders * self.days, -1))
        free = self._made(np.zeros(max(1, len(self.tables.start)), dtype=np.int64))
        given = (self.columns, self.trees, self.modes, free, self.scratch, self.rows, last, self.days, self.shift)
        self.program.ends_alone(*given)
        firsts = np.full(self.orders * self.days, -1, dtype=np.int64)
        costs = np.zeros(self.orders * self.days, dtype=np.int64)
        for order in range(self.orders):
            row = [int(x) for x in self.rows[order * p.R_STRIDE : (order + 1) * p.R_STRIDE]]
            listed = []
            for first in range(self.days):
                ends = int(last[order * self.days + first])
                if ends < 0:
                    continue
                listed.append((p.own_price(row, 0, first, ends), first))
            if row[p.R_FLOW] == 0 or (listed and row[p.R_BEGAN] <= listed[0][1]):
                listed = listed[:1]  # a later first day cannot be cheaper
            listed.sort()
            base = order * self.days
            firsts[base : base + len(listed)] = [first for _cost, first in listed]
            costs[base : base + len(listed)] = [cost for cost, _first in listed]
            self.rows[order * p.R_STRIDE + p.R_TRIES] = len(listed)
        return self._made(firsts), self._made(costs)
