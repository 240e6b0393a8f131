"""The judge of small seasons: finds the best plan and proves it, or proves that there is none."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from ortools.sat.python import cp_model

from yard.planning.cpsat import hint as hints
from yard.planning.cpsat.answer import Answer
from yard.planning.cpsat.objective import left_out_price
from yard.planning.cpsat.season import Season
from yard.planning.cpsat.table import build
from yard.planning.cutoff import Cutoff
from yard.planning.plan import Infeasible, OutOfTime, Plan, Planned, Result, score
from yard.planning.problem import Problem
from yard.speech import _

STOP_EVERY_S = 0.2  # how often the watcher asks; a person who pressed Stop waits no longer


class ModelInvalid(RuntimeError):
    """The solver refuses the model: an error of this package, never of the season."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Effort:
    """How long, with how many threads, from which seed."""

    ends_at: float
    workers: int
    seed: int
    deterministic: float | None
    should_stop: Callable[[], bool] | None

    def seconds_left(self) -> float:
        return max(0.05, self.ends_at - time.monotonic())

    def solver(self) -> cp_model.CpSolver:
        solver = cp_model.CpSolver()
        parameters = solver.parameters
        parameters.num_workers = self.workers
        parameters.random_seed = self.seed
        parameters.max_time_in_seconds = self.seconds_left()
        # Two to four times faster to the proof on the published job shops and skill projects (tests/reference).
        parameters.use_strong_propagation_in_disjunctive = True
        parameters.use_dynamic_precedence_in_disjunctive = True
        parameters.symmetry_level = hints.SYMMETRY_LEVEL
        if self.deterministic is not None:
            parameters.interleave_search = True
            parameters.max_deterministic_time = self.deterministic
        return solver


def prove(
    problem: Problem,
    *,
    hint: Plan | None,
    seconds: float,
    workers: int,
    seed: int,
    should_stop: Callable[[], bool] | None = None,
    deterministic: float | None = None,
    may_leave_out: bool = False,
    only: Cutoff | None = None,
) -> Result:
    """The best plan within these limits, proved or not; runs in the calling thread.

    hint: a plan to start from; used whole or, where it breaks a rule, not at all.
    deterministic: a limit in the solver's own units, with which one seed gives one plan however fast the machine.
    may_leave_out: a boat may be left out where it is not possible to place them all; else each must be placed, and
    `Infeasible` is proved (by two searches, the second without presolve: release 9.15 has presolved a feasible model
    to infeasible, or-tools issue 5274).
    only: where a plan is had that leaves nobody out, plans as cheap; `Infeasible` then says that there is none.
    Waivers are not used: they excuse what people decide, and never make a plan.
    """
    began = time.monotonic()
    season, reasons = build(problem, may_leave_out=may_leave_out, only=only)
    if reasons and not may_leave_out:
        return Infeasible(reasons, time.monotonic() - began)
    effort = _Effort(
        ends_at=began + seconds, workers=workers, seed=seed, deterministic=deterministic, should_stop=should_stop
    )
    fallback = _hinted_plan(season, hint, effort)
    solver = effort.solver()
    status, stopped = _run(season, solver, effort)
    if status == cp_model.INFEASIBLE and not stopped:
        solver = effort.solver()
        solver.parameters.cp_model_presolve = False
        solver.parameters.random_seed = seed + 1
        status, stopped = _run(season, solver, effort)
        if status == cp_model.INFEASIBLE:
            reason = _("searched to the end, twice: no plan places every boat")
            return Infeasible((reason,), time.monotonic() - began)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        plan = Answer(season, solver).plan()
    elif fallback is not None:
        plan = fallback
    else:
        return OutOfTime(time.monotonic() - began)
    return _planned(season, plan, solver, status, stopped, began, effort)


def _hinted_plan(season: Season, hint: Plan | None, effort: _Effort) -> Plan | None:
    decided = None if hint is None else hints.decisions(season, hint)
    if decided is None:
        return None
    solver = hints.complete(season, decided, effort.seconds_left())
    return None if solver is None else Answer(season, solver).plan()


def _run(season: Season, solver: cp_model.CpSolver, effort: _Effort) -> tuple[cp_model.CpSolverStatus, bool]:
    """The status, and whether somebody asked to stop."""
    with _watched(solver, effort.should_stop) as stopped:
        status = solver.solve(season.model)
    if status == cp_model.MODEL_INVALID:
        raise ModelInvalid(season.model.validate())
    return status, stopped.is_set()


@contextmanager
def _watched(solver: cp_model.CpSolver, should_stop: Callable[[], bool] | None) -> Iterator[threading.Event]:
    """Ask `should_stop` while the solver runs, and stop it; a stop asked before it began is asked again."""
    stopped, done = threading.Event(), threading.Event()

    def watch() -> None:
        while should_stop is not None and not done.wait(STOP_EVERY_S):
            if stopped.is_set() or should_stop():
                stopped.set()
                solver.stop_search()

    watcher = threading.Thread(target=watch, name="stop watcher", daemon=True)
    if should_stop is not None:
        watcher.start()
    try:
        yield stopped
    finally:
        done.set()
        if should_stop is not None:
            watcher.join()


def _planned(
    season: Season,
    plan: Plan,
    solver: cp_model.CpSolver,
    status: cp_model.CpSolverStatus,
    stopped: bool,
    began: float,
    effort: _Effort,
) -> Planned:
    proved = status == cp_model.OPTIMAL
    found = score(season.problem, plan)
    bound = found.cost if proved else _bound(season, plan, solver, status)
    now = time.monotonic()
    in_time = effort.deterministic is not None and now < effort.ends_at
    return Planned(
        plan=plan,
        score=found,
        bound=min(bound, found.cost),
        proved=proved,
        seconds=now - began,
        ended="proved" if proved else "stopped" if stopped else "rounds" if in_time else "time",
    )


def _bound(season: Season, plan: Plan, solver: cp_model.CpSolver, status: cp_model.CpSolverStatus) -> int:
    """The solver's bound, without what boats left out cost in the model; 0 where it knows of none."""
    if status not in (cp_model.FEASIBLE, cp_model.UNKNOWN):
        return 0
    bound = solver.best_objective_bound
    if not abs(bound) < 2**53:  # no bound yet
        return 0
    whole = -int(-bound // 1)
    return max(0, whole - left_out_price(season) * len(plan.left_out))
