"""What no plan of a season can cost less than: how good a plan is, proved.

The best of several bounds, each valid by itself, all on `plan.score`, also for plans that leave boats out:

alone    each order in an otherwise empty yard, exactly: her dates, tides, light, weather, closed places, waits, pinned
         jobs, and enough people at work at once with their own hours and leave (`tables`, `program`)
prices   the same under prices on the quarters of people and places, so that orders that want the same people at the
         same time cannot all have them (`prices`, `volume`); the prices are sought in rounds, the bound holds at any
cpsat    for small seasons, the constraint solver's own; where a plan is had, only among plans as cheap (`narrowing`)

It speaks of plans that keep every rule; a waiver excuses what people decide and is not planned with.  Given up, so that
it stays exact and fast: berths by night, how often a day may slide in a week, two jobs that want the boat at once where
no wait orders them, all but one of the waits after a job that several others follow, waits between orders (all of
these waits still give each job's earliest start).

What was measured (the generator's seasons, seeds 1 to 3, beside the best plan known; two busy cores, the program
compiled before; XS 8 s with the plan known, S 24 to 30 s, M 25 s, L 40 s; ratio: plan / bound):

         bound              alone              best plan known       ratio
  XS     3,880 6,026 455    3,166 5,800 49     3,880 6,094 455       1    1.01 1
  S        332   262 231      220    96 215    4,315 3,115 1,505     13 12 6.5
  M        438   423 394    the same           936 832 2,913         2.1 1.97 7.4
  L        942   900 924    the same           1,870 2,585 1,760     1.99 2.9 1.90

Beside 2,500 random seasons of two or three jobs: of the 803 that can be planned it is the optimum itself in 742, and
never above it.

So at M and L the bound is the flow of each boat alone.  An average of the orders' cheapest ways (the volume algorithm
keeps one) takes people and places almost as they are at a cost of 438 (M 1): the prices find nothing to raise there,
and it looks as if no prices of this kind could (seen, not proved).  What is left between bound and plan is that a boat
cannot be done by halves, and what the search has not found; the bound cannot tell which.  At S most of a plan's cost is
lateness that only comes from whole boats.

Tried, and what came of it: subgradient with Polyak's step (swings far below and does not come back at M); the same from
the best prices with a level that adapts (stays at the bound of all alone: at prices of zero each order has many equally
cheap ways, and one of them is no direction); volume algorithm (climbs steadily at XS and S); stretches of 8 and of 1
quarter (XS 1: 3,393 and 3,446 after the same time); prices without a limit (64 bits overflowed and gave a "bound" far
above the plan: hence the limit in `volume`); CP-SAT on XS with nothing
known, 2 threads, half a minute on a busy machine (0, 0 and 41: its bound comes with its proof or hardly at all).  With
the days narrowed by half a second of prices it proves XS 1 and XS 3 in 1 to 3 s; not S 3 below 1,505 in 150 s (3,372 of
7,385 days left), nor that M 2 cannot cost 457, which a factor 2 would need, in 200 s (22,864 of 64,908 days left).  Not
tried: pairs or clusters of boats under prices, branching on days.
"""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass
from functools import cache
from typing import Literal

from yard.planning import backend as backends
from yard.planning.bound.narrowing import narrowed
from yard.planning.bound.sweeping import Sweep
from yard.planning.bound.tables import build
from yard.planning.bound.volume import Prices
from yard.planning.cutoff import Cutoff
from yard.planning.plan import Infeasible, Plan, Planned
from yard.planning.problem import Boat, Calendar, Job, Order, Problem, Way
from yard.planning.progress import Rounds, Seconds, ShouldStop, Stop

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
        ends_at = began + stop.seconds
        only = None if known is None else narrowed(prices, known, lambda: time.monotonic() > ends_at or cancelled())
        seconds = max(1.0, ends_at - time.monotonic())
        solver = _solved(problem, hint, seconds, seed, workers, cancelled, only)
    solver = min(solver, prices.cost_with_one_left_out)
    found: list[tuple[int, By]] = [(0, "nothing"), (prices.alone, "alone"), (prices.cost, "prices"), (solver, "cpsat")]
    cost, by = max(found, key=lambda pair: pair[0])
    seconds = time.monotonic() - began
    return Bound(cost, by, prices.alone, prices.cost, solver, prices.rounds, cost == known, seconds)


def compile_program() -> None:
    """Turn the program into machine code, once for a machine: half a minute, which no bound then has to spend.

    Raises BackendMissing where numba is not installed.
    """
    calendar = Calendar(epoch="2027-01-01T00:00:00+00:00", quarters_per_day=1, day_starts=(0,))
    job = Job(key="job", name="job", boat=0, order=0, ways=(Way(duration_quarters=1),))
    problem = Problem(
        calendar=calendar,
        people=(),
        places=(),
        window_sets=(),
        boats=(Boat(key="boat", name="boat"),),
        orders=(Order(key="order", name="order", due_day=0),),
        jobs=(job,),
    )
    backends.load("numba")
    lower_bound(problem, stop=Rounds(0), backend="numba")


@cache
def program_in_background() -> threading.Event:
    """Compile the program in a thread, once for the process; set when it is done (never, where it cannot be)."""
    done = threading.Event()

    def work() -> None:
        compile_program()
        done.set()

    threading.Thread(target=work, name="program", daemon=True).start()
    return done


def cutoff(
    problem: Problem, cost: int, *, seconds: float, backend: backends.Backend, should_stop: ShouldStop
) -> Cutoff:
    """What plans of at most `cost` that leave nobody out have in common; the longer, the more is known of them.

    Half of the time goes to the prices, at most half to the days. For seasons small enough for CP-SAT.
    """
    began = time.monotonic()
    prices = Prices(Sweep(build(problem), backend))
    prices.search(lambda: time.monotonic() - began > seconds / 2 or should_stop(), cost)
    return narrowed(prices, cost, lambda: time.monotonic() - began > seconds or should_stop())


def _solved(
    problem: Problem,
    hint: Plan | None,
    seconds: float,
    seed: int,
    workers: int,
    should_stop: ShouldStop,
    only: Cutoff | None,
) -> int:
    """CP-SAT's bound on plans that leave nobody out. With a cutoff at least that, where there is none as cheap."""
    from yard.planning.cpsat import prove

    result = prove(problem, hint=hint, seconds=seconds, workers=workers, seed=seed, should_stop=should_stop, only=only)
    match result:
        case Planned(bound=bound):
            return bound
        case Infeasible() if only is not None:
            return only.cost
        case _:
            return 0


__all__ = ["Bound", "compile_program", "cutoff", "lower_bound", "program_in_background"]
