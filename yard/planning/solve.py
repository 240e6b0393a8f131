"""The front door of the planner: a Problem in, a Result out, checked."""

from __future__ import annotations

import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

from yard.planning import backend as backends
from yard.planning import engine as e
from yard.planning.backend import Backend, BackendMissing
from yard.planning.bound import cutoff, program_in_background
from yard.planning.cutoff import Cutoff
from yard.planning.improve import Search, compiled
from yard.planning.layout import Layout, compile_problem
from yard.planning.listing import build_first_plan, lay_to_rest
from yard.planning.plan import Ended, Infeasible, OutOfTime, Plan, Planned, Result, score
from yard.planning.problem import Problem
from yard.planning.progress import OnProgress, Phase, Progress, Rounds, Seconds, ShouldStop, Stop
from yard.planning.reasons import left_out
from yard.planning.state import empty_state, read_plan
from yard.planning.units import CannotExpress

PROVE_JOBS = 80  # up to so many open jobs CP-SAT is asked for a proof (season XS, 61 jobs: optimal in seconds; S: not)
PROVE_SHARE = 0.25  # of the time, for the search on a Problem that small; the proof has the rest
PROVE_LEAST_S = 1.0  # a proof is not begun in less
CUTOFF_SHARE = 0.3  # of what is left then, to narrow it down: XS 1 and 3 are proved in 5 s
COMPILER_SHARE = (
    0.5  # of the time, to wait for machine code on a Problem that small: XS 1 is optimal after a second of it
)
TELL_EVERY_S = 0.5


class PlanBroken(AssertionError):
    """The planner made a plan that its own check refuses: a fault of the planner, never of the Problem."""


def solve(
    problem: Problem,
    *,
    stop: Stop,
    seed: int = 1,
    workers: int = 2,
    backend: str | None = None,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
    start: Plan | None = None,
) -> Result:
    """Plan a season as well as the time (or rounds) allows.  It can be stopped and keeps the best plan so far.

    seed, workers: with `Rounds` one seed and number of workers give one plan, on either backend.
    backend: "numba" or "python"; None is numba where it is installed.
    start: a plan to begin from; boats that no longer fit as it has them are placed anew.
    Raises PlanBroken for a fault of ours; BackendMissing; ValueError for an unknown backend or no workers.
    """
    if workers < 1:
        raise ValueError(f"{workers} workers cannot plan; at least 1")
    run = _Run(problem, stop, seed, workers, _backend(backend), on_progress, should_stop or (lambda: False))
    run.tell("compiling")
    try:
        layout = compile_problem(problem)
    except CannotExpress:
        return run.prove(None)
    return run.engine(layout, start)


def _backend(name: str | None) -> Backend:
    if name is None:
        return backends.default()
    if name == "python":
        return "python"
    if name != "numba":
        raise ValueError(f"the backend '{name}' is not known; 'numba' and 'python' are")
    backends.load("numba")  # raises BackendMissing
    return "numba"


@dataclass(slots=True)
class _Run:
    problem: Problem
    stop: Stop
    seed: int
    workers: int
    backend: Backend
    on_progress: OnProgress | None
    should_stop: ShouldStop
    began: float = 0.0
    told: float = -1e9
    told_cost: tuple[int, int] = (0, 0)
    last: tuple[int, int, int] | None = None
    rounds: int = 0
    program: threading.Event | None = None  # set: what narrows a small Problem's proof is machine code

    def __post_init__(self) -> None:
        self.began = time.monotonic()

    @property
    def elapsed(self) -> float:
        return time.monotonic() - self.began

    @property
    def seconds(self) -> float:
        return self.stop.seconds if isinstance(self.stop, Seconds) else float("inf")

    def tell(self, phase: Phase) -> None:
        if self.on_progress is not None:
            cost, late, left = self.last or (None, None, None)
            self.on_progress(Progress(self.elapsed, cost, late, left, phase, self.rounds))

    def engine(self, layout: Layout, start: Plan | None) -> Result:
        state = empty_state(layout, start.berths() if start else None)
        build_first_plan(layout, state, start)
        self._note(layout, state, best=False)
        self.tell("first plan")
        lay_to_rest(layout, state)
        small = _open_jobs(self.problem) <= PROVE_JOBS
        proving = small and isinstance(self.stop, Seconds)
        deadline = self.began + self.seconds
        if proving:
            self._await_compiler()
            if self.backend == "numba" and compiled().ready.is_set():  # on a new machine the engine comes first
                self.program = program_in_background()
            deadline = self.began + min(self.seconds, self.elapsed + PROVE_SHARE * self.seconds)
        search = Search(layout, state, seed=self.seed, workers=self.workers, backend=self.backend)
        stopped = search.run(
            self.stop, deadline=deadline, should_stop=self.should_stop, tell=lambda: self._improving(layout, search)
        )
        plan = left_out(layout, read_plan(layout, search.best, best=True))
        ended: Ended = "stopped" if stopped else "rounds" if isinstance(self.stop, Rounds) else "time"
        planned = self._planned(plan, 0, ended)
        if proving and not stopped and not planned.proved and self.seconds - self.elapsed >= PROVE_LEAST_S:
            return self._proved(planned)
        return planned

    def _await_compiler(self) -> None:
        """Plain Python would use up a short search's share before the compiled one begins."""
        until = self.began + COMPILER_SHARE * self.seconds
        while self.backend == "numba" and time.monotonic() < until and not self.should_stop():
            if compiled().ready.wait(min(TELL_EVERY_S / 5, max(0.0, until - time.monotonic()))):
                return

    def _note(self, layout: Layout, state: Sequence[int], *, best: bool) -> None:
        if self.on_progress is not None:
            plan = read_plan(layout, state, best=best)
            found = score(self.problem, plan)
            placed = {placement.job for placement in plan.placements}
            left = {job.boat for number, job in enumerate(self.problem.jobs) if number not in placed}
            self.last = (found.cost, found.late_orders, len(left))

    def _improving(self, layout: Layout, search: Search) -> None:
        now = time.monotonic()
        if self.on_progress is None or now - self.told < TELL_EVERY_S:
            return
        self.told, self.rounds = now, search.rounds
        key = (search.best[e.LEAST], search.best[e.LEAST_SEARCH])
        if key != self.told_cost:
            self.told_cost = key
            self._note(layout, search.best, best=True)
        self.tell("improving")

    def _planned(self, plan: Plan, bound: int, ended: Ended) -> Planned:
        _demand_kept(self.problem, plan)
        found = score(self.problem, plan)
        proved = found.cost <= bound and not plan.left_out
        return Planned(
            plan=plan,
            score=found,
            bound=bound,
            proved=proved,
            seconds=self.elapsed,
            ended="proved" if proved else ended,
        )

    def _proved(self, planned: Planned) -> Planned:
        """What CP-SAT makes of it in the time left; never worse than what there is."""
        whole = not planned.plan.left_out
        self.tell("proving")
        only = self._cutoff(planned.score.cost) if whole else None
        match self.prove(planned.plan if whole else None, only):
            case Planned() as found if _rank(found) <= _rank(planned):
                return replace(found, seconds=self.elapsed)
            case Planned() as found if whole:
                return replace(planned, bound=max(planned.bound, found.bound), seconds=self.elapsed)
            case _:
                return replace(planned, seconds=self.elapsed)

    def _cutoff(self, cost: int) -> Cutoff | None:
        """What plans as cheap have in common, where finding out is quick."""
        seconds = CUTOFF_SHARE * (self.seconds - self.elapsed)
        if self.program is None or not self.program.is_set():
            return None
        return cutoff(self.problem, cost, seconds=seconds, backend=self.backend, should_stop=self.should_stop)

    def prove(self, hint: Plan | None, only: Cutoff | None = None) -> Result:
        """Ask CP-SAT; for Problems that the engine does not take it is the whole road."""
        from yard.planning.cpsat import prove

        seconds = max(1.0, self.seconds - self.elapsed) if isinstance(self.stop, Seconds) else 60.0
        self.tell("proving")
        result: Result = prove(
            self.problem,
            hint=hint,
            seconds=seconds,
            workers=self.workers,
            seed=self.seed,
            should_stop=self.should_stop,
            only=only,
        )
        match result:
            case Planned() as found:
                _demand_kept(self.problem, found.plan)
                return found
            case Infeasible() | OutOfTime():
                return result


def _rank(planned: Planned) -> tuple[int, int]:
    """No cost makes up for a boat left out."""
    return planned.score.left_out, planned.score.cost


def _open_jobs(problem: Problem) -> int:
    return len(problem.jobs) - len(problem.pins)


def _demand_kept(problem: Problem, plan: Plan) -> None:
    from yard.planning.check import faults

    found = faults(problem, plan)
    if found:
        told = "; ".join(f"{breach.rule}: {breach.message}" for breach in found[:5])
        raise PlanBroken(f"{len(found)} breaches of its own rules: {told}")


__all__ = ["BackendMissing", "PlanBroken", "Progress", "Rounds", "Seconds", "Stop", "solve"]
