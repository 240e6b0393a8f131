"""Ruin and recreate by several workers under one cooling schedule.

The loop is `engine.improve`; this module decides how many rounds at which temperature, lets the workers meet, and
starts in plain Python while numba still compiles: both backends do the same to the bit, so nobody can tell.

What was measured (season M, seeds 1 to 3): one long cooling beats restarts; boats cut at a moment beat whole boats by
a factor 2.6 to 2.9; meeting every tenth of the run is worth some 7 %; moves that only close gaps (`flowing`) pay in
the last 15 % of a run and cost before.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from types import ModuleType
from typing import Any

from yard.planning import backend as backends
from yard.planning import engine as e
from yard.planning.backend import Backend
from yard.planning.layout import Layout
from yard.planning.progress import Rounds, Seconds, ShouldStop, Stop
from yard.planning.state import seed_of

HOT_LATE_DAYS = 2.0  # the temperature at the start, in days late of a boat that goes first once
COOL_FLOW_DAYS = 3.0  # when the flow moves begin, in days of flow
COLD_FLOW_DAYS = 0.3  # at the end
FLOW_SHARE = 0.15
MEETINGS = 10
SLICE_S = 0.2
SLICES = 100
FIRST_ROUNDS = 200
COMPILER_SHARE = 3  # times as long as plain Python runs meanwhile


def temperature(layout: Layout, fraction: float, hot_late_days: float = HOT_LATE_DAYS) -> int:
    """In search cost, at this fraction of the run: geometric from hot to cool, then to cold in the flow share."""
    rates = layout.problem.rates
    flow = rates.flow_day or rates.late_day / 100 or 1
    hot = max(hot_late_days * rates.late_day, COOL_FLOW_DAYS * flow)
    cool, cold = COOL_FLOW_DAYS * flow, COLD_FLOW_DAYS * flow
    part = 1 - FLOW_SHARE
    if fraction < part:
        now = hot * (cool / hot) ** (fraction / part)
    else:
        now = cool * (cold / cool) ** ((fraction - part) / FLOW_SHARE)
    return max(1, int(now * 10 * layout.axis.quarters))


@dataclass(slots=True)
class Compiled:
    """numba's engine, compiled in the background. `ready` is set at its end, also when it failed (`engine` None)."""

    engine: ModuleType | None = None
    fault: BaseException | None = None
    ready: threading.Event = field(default_factory=threading.Event)


_compiled: Compiled | None = None
_lock = threading.Lock()


def compiled() -> Compiled:
    """Start numba's engine, once for the process; from the cache this takes half a second, else half a minute."""
    global _compiled
    with _lock:
        if _compiled is None:
            _compiled = Compiled()
            threading.Thread(target=_compile, args=(_compiled,), name="compile", daemon=True).start()
        return _compiled


def _compile(target: Compiled) -> None:
    try:
        engine = backends.load("numba")
        import numpy

        g = numpy.zeros(e.HEADER, dtype=numpy.int64)  # no units, no jobs: every function compiles, none does anything
        s = numpy.zeros(e.HEADER, dtype=numpy.int64)
        engine.start_search(g, s)
        engine.improve(g, s, 0, 1, 0)
        target.engine = engine
    except Exception as fault:
        target.fault = fault
    finally:
        target.ready.set()


class Search:
    """Several states of one Layout, improved together. `best` is a copy of the state with the best plan so far."""

    def __init__(
        self,
        layout: Layout,
        state: Sequence[int],
        *,
        seed: int,
        workers: int,
        backend: Backend,
        hot: float = HOT_LATE_DAYS,
    ) -> None:
        self.layout = layout
        self.hot = hot
        self.g: Any = list(layout.g)
        self.states: list[Any] = []
        for worker in range(max(1, workers)):
            own = list(state)
            own[e.RANDOM] = seed_of(seed, worker)
            self.states.append(own)
        self.engine: ModuleType = backends.load("python")
        self.backend: Backend = "python"
        self.wanted: Backend = backend
        self.compiling = compiled() if backend == "numba" else None
        for own in self.states:
            self.engine.start_search(self.g, own)
        self.best: Any = self.states[0].copy()
        self.rounds = 0

    @property
    def least(self) -> int:
        return int(self.best[e.LEAST])

    def run(self, stop: Stop, *, deadline: float, should_stop: ShouldStop, tell: Callable[[], None]) -> bool:
        """Improve until the rounds or the time (`time.monotonic`) are over. True if it was stopped before."""
        if self.g[e.LIVES] == 0:
            return False
        if isinstance(stop, Rounds):
            return self._run_rounds(stop.rounds, should_stop, tell)
        return self._run_seconds(stop, deadline, should_stop, tell)

    def _run_rounds(self, rounds: int, should_stop: ShouldStop, tell: Callable[[], None]) -> bool:
        slices = min(SLICES, max(1, rounds))
        for number in range(slices):
            if should_stop():
                return True
            count = rounds * (number + 1) // slices - rounds * number // slices
            self._slice(count, (number + 0.5) / slices)
            if (number + 1) * MEETINGS // slices > number * MEETINGS // slices:
                self._meet()
            tell()
        return False

    def _run_seconds(self, stop: Seconds, deadline: float, should_stop: ShouldStop, tell: Callable[[], None]) -> bool:
        """The share of the time that is over sets the temperature; the rounds of a slice follow from the last one's."""
        began = time.monotonic()
        whole = max(1e-9, deadline - began)
        rounds, met = FIRST_ROUNDS, 0
        while (now := time.monotonic()) < deadline:
            if should_stop():
                return True
            backend = self.backend
            self._slice(rounds, (now - began) / whole)
            took = max(1e-6, time.monotonic() - now)
            if self.compiling is not None:  # leave the interpreter to the compiler for most of the time
                self.compiling.ready.wait(min(COMPILER_SHARE * took, max(0.0, deadline - time.monotonic())))
            left = deadline - time.monotonic()
            rounds = max(1, int(rounds / took * max(1e-3, min(SLICE_S, whole / SLICES, left))))
            if backend != self.backend:  # compiled just now: cool once more, from hot, in the time that is left
                rounds, began, met = FIRST_ROUNDS, time.monotonic(), 0
                whole = max(1e-9, deadline - began)
            if (time.monotonic() - began) * MEETINGS // whole > met:
                met += 1
                self._meet()
            tell()
        return False

    def _slice(self, rounds: int, fraction: float) -> None:
        self._take_compiled()
        flowing = int(fraction >= 1 - FLOW_SHARE)
        heat = temperature(self.layout, fraction, self.hot)

        def work(state: Any) -> None:
            self.engine.improve(self.g, state, rounds, heat, flowing)

        if self.backend == "python" or len(self.states) == 1:
            for state in self.states:
                work(state)
        else:
            with ThreadPoolExecutor(len(self.states)) as pool:
                list(pool.map(work, self.states))
        self.rounds += rounds
        for state in self.states:
            self._keep(state)

    def _take_compiled(self) -> None:
        if self.compiling is None or not self.compiling.ready.is_set():
            return
        if self.compiling.engine is not None:
            self.engine, self.backend = self.compiling.engine, "numba"
            self.g = backends.sequence("numba", self.g)
            self.states = [backends.sequence("numba", state) for state in self.states]
        self.compiling = None

    def _keep(self, state: Any) -> None:
        if (state[e.LEAST], state[e.LEAST_SEARCH]) < (self.best[e.LEAST], self.best[e.LEAST_SEARCH]):
            self.best = state.copy()

    def _meet(self) -> None:
        """Everybody goes on from where the cheapest stands, each by its own chance."""
        leader = min(self.states, key=lambda state: int(state[e.SEARCH]))
        for state in self.states:
            if state is not leader:
                chance = state[e.RANDOM]
                state[:] = leader
                state[e.RANDOM] = chance
