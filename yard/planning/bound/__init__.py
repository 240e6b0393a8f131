"""What no plan of a season can cost less than: how good a plan is, proved.

The best of several bounds, each valid by itself, all on `plan.score`, also for plans that leave boats out:

alone    each order in an otherwise empty yard, exactly: her dates, tides, light, weather, closed places, waits, pinned
         jobs, and enough people at work at once with their own hours and leave (`tables`, `program`)
prices   the same under prices on the quarters of people and places, so that orders that want the same people at the
         same time cannot all have them (`prices`, `volume`); the prices are sought in rounds, the bound holds at any
cpsat    for small seasons, the constraint solver's own

It speaks of plans that keep every rule; a waiver excuses what people decide and is not planned with.  Given up, so that
it stays exact and fast: berths by night, how often a day may slide in a week, two jobs that want the boat at once where
no wait orders them, all but one of the waits after a job that several others follow, waits between orders (all of
these waits still give each job's earliest start).

What was measured (the generator's seasons, seeds 1 to 3, beside the best plan known; two busy cores):

            bound          of it alone   best plan known       plan / bound
  XS 1      3,446 (15 s)   3,166         3,880 (optimum)       1.13
  XS 3        243 (15 s)      49           765                 3.1
  S  1        329 (25 s)     220         4,918                 15
  M  1-3    438 423 394    the same      1,177 930 2,913       2.7 2.2 7.4
  L  1-3    942 900 924    the same      1,877 3,288 2,368     2.0 3.7 2.6

So at M and L the bound is the flow of each boat alone, and the prices prove nothing more: an average of the orders'
cheapest ways (volume algorithm) takes people and places almost exactly as much as there is at a cost of 438 (M 1), so
no bound by prices of this kind, whatever the stretch, can be much above it.  What is left between bound and plan is
that a boat cannot be done by halves, and what the search has not found; the bound cannot tell which.

Tried, and what came of it: plain subgradient with Polyak's step (swings far below, never comes back at M); the same
from the best prices with a level that adapts (stays at the bound of all alone: with prices of zero each order has many
equally cheap ways and the first is no direction); volume algorithm (climbs steadily at XS and S); stretches of 8, 4 and
1 quarters (1 is the tightest: XS 1 3,393 with 8, 3,446 with 1, at the same time a round); prices without a limit
(64 bits overflow after some rounds: hence the limit in `volume`); CP-SAT on XS with 2 threads on a busy machine (bound
0 after 28 s: its bound comes with the proof or not at all).  Not tried: pairs of boats under prices, branching on days.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import Literal

from yard.planning import backend as backends
from yard.planning.bound.sweeping import Sweep
from yard.planning.bound.tables import build
from yard.planning.bound.volume import Prices
from yard.planning.plan import Plan, Planned
from yard.planning.problem import Problem
from yard.planning.progress import Seconds, ShouldStop, Stop

CPSAT_JOBS = 80  # open jobs: beyond, the solver's bound stays at nothing for minutes
CPSAT_SHARE = 0.5  # of the time
CPSAT_LEAST_S = 1.0
By = Literal["nothing", "alone", "prices", "cpsat"]


@dataclass(frozen=True, slots=True)
class Bound:
    """cost: no plan costs less.  by: what proved it.  alone, prices, cpsat: each (0: not had).  rounds: of prices.

    proved: cost is also the cost of the plan that was given, so none is better than it.
    """

    cost: int
    by: By
    alone: int
    prices: int
    cpsat: int
    rounds: int
    proved: bool
    seconds: float


def lower_bound(
    problem: Problem,
    *,
    stop: Stop,
    known: int | None = None,
    hint: Plan | None = None,
    seed: int = 1,
    workers: int = 2,
    backend: str | None = None,
    should_stop: ShouldStop | None = None,
) -> Bound:
    """A bound on `plan.score(...).cost` of every plan without faults; better with time, valid whenever it is stopped.

    stop: with `Rounds` (of prices) one Problem gives one bound, and CP-SAT is not asked.
    known: the cost of a plan that is had; the search for prices ends when it is met.
    hint, seed, workers: for CP-SAT.
    """
    began = time.monotonic()
    cancelled = should_stop or (lambda: False)
    kind: backends.Backend = "numba" if (backend or backends.default()) == "numba" else "python"
    open_jobs = len(problem.jobs) - len(problem.pins)
    small = isinstance(stop, Seconds) and open_jobs <= CPSAT_JOBS and stop.seconds * CPSAT_SHARE >= CPSAT_LEAST_S
    tables = build(problem)
    sweep = Sweep(tables, kind)
    prices = Prices(sweep)
    if isinstance(stop, Seconds):
        until = began + stop.seconds * (1 - CPSAT_SHARE if small else 1)
        prices.search(lambda: time.monotonic() >= until or cancelled(), known)
    else:
        prices.search(lambda: prices.rounds >= stop.rounds or cancelled(), known)
    solver = 0
    if small and isinstance(stop, Seconds) and not cancelled() and (known is None or prices.cost < known):
        solver = _solved(problem, hint, max(1.0, began + stop.seconds - time.monotonic()), seed, workers, cancelled)
    solver = min(solver, prices.cost_with_one_left_out)
    found: list[tuple[int, By]] = [(0, "nothing"), (prices.alone, "alone"), (prices.cost, "prices"), (solver, "cpsat")]
    cost, by = max(found, key=lambda pair: pair[0])
    seconds = time.monotonic() - began
    return Bound(cost, by, prices.alone, prices.cost, solver, prices.rounds, cost == known, seconds)


def _solved(
    problem: Problem, hint: Plan | None, seconds: float, seed: int, workers: int, should_stop: ShouldStop
) -> int:
    """CP-SAT's bound on plans that leave nobody out."""
    from yard.planning.cpsat import prove

    result = prove(problem, hint=hint, seconds=seconds, workers=workers, seed=seed, should_stop=should_stop)
    return result.bound if isinstance(result, Planned) else 0


__all__ = ["Bound", "lower_bound"]
