"""A day is lost, somebody is ill, cloth is late: a new plan that holds and disturbs the posted one least.

What is started, finished or pinned stays, because it is pinned in the Problem; nothing starts before `Problem.now`.
Everything that can stays exactly where it is.  What the rest costs is a trade, so the answer is one proposal at once
and, after a short search, two to four plans from fewest boats moved to fewest days late.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace

from yard.planning import backend as backends
from yard.planning.layout import compile_problem
from yard.planning.plan import Plan
from yard.planning.problem import Problem
from yard.planning.progress import Rounds, Seconds, ShouldStop, Stop
from yard.planning.reshuffle.before_all import make_way
from yard.planning.reshuffle.bound import MustMove, must_move
from yard.planning.reshuffle.choices import Choice, best_of, curve, finish, finish_first
from yard.planning.reshuffle.differences import Change, Disturbance, JobChange, changes, moved_boats, people_changed
from yard.planning.reshuffle.homes import with_homes
from yard.planning.reshuffle.lost_room import bring_back
from yard.planning.reshuffle.mending import repair
from yard.planning.reshuffle.trade import FEWEST_MOVES, Asked, search
from yard.planning.reshuffle.wishes import NotKept, Wishes, forbidden, what_can_stay, wished
from yard.planning.state import empty_state, read_plan

FINISHING = 2.5
"""To settle, fill and check the searched plans takes so many times as long as the first proposal (measured at M, L)."""
LEAST_SEARCH = 0.4  # of the time, on a machine that is too slow for the rest


@dataclass(frozen=True, slots=True)
class Reshuffled:
    """proposed: the one to show.  curve: plans that truly differ, from fewest boats moved to fewest days late; the
    proposed one is among them.  must_move: boats that move in any plan, proved.  seconds: wall clock, of all.
    not_kept: what was wished to stay and cannot."""

    proposed: Choice
    curve: tuple[Choice, ...]
    must_move: tuple[MustMove, ...]
    seconds: float
    not_kept: tuple[NotKept, ...] = ()


OnFirst = Callable[[Choice], None]
NO_WISHES = Wishes()


def reshuffle(
    problem: Problem,
    posted: Plan,
    *,
    stop: Stop,
    firm: frozenset[int] = frozenset(),
    wishes: Wishes = NO_WISHES,
    seed: int = 1,
    workers: int = 2,
    backend: str | None = None,
    on_first: OnFirst | None = None,
    should_stop: ShouldStop | None = None,
) -> Reshuffled:
    """Mend the posted plan for a Problem whose facts have changed.

    posted: laid on `problem` (indices are its own); jobs that it does not hold are new.
    firm: boats whose owner was told a firm day; they move last.
    wishes: what stays as it is if the facts let it; a wish that no plan found keeps is given up, and it is tried again.
    stop: for the whole curve, or the rounds of each of its searches; with `Rounds` one seed gives one answer.
    on_first: gets the first proposal as soon as it stands.
    Raises CannotExpress for the few Problems that the engine does not take; PlanBroken for a fault of ours.
    """
    began = time.monotonic()
    kind: backends.Backend = "numba" if (backend or backends.default()) == "numba" else "python"
    how = _How(stop, firm, seed, workers, kind, on_first, should_stop or (lambda: False))
    kept = what_can_stay(problem, posted, wishes)
    while True:
        found = _mend(wished(problem, posted, wishes, kept), posted, how)
        against = [forbidden(problem, one.plan, kept) for one in found.curve]
        if not all(against):
            holding = tuple(one for one, broken in zip(found.curve, against, strict=True) if not broken)
            return replace(
                found,
                proposed=best_of(holding),
                curve=holding,
                must_move=must_move(compile_problem(problem), posted) if kept.jobs else found.must_move,
                not_kept=kept.given_up,
                seconds=time.monotonic() - began,
            )
        fewest: tuple[NotKept, ...] = min(against, key=len)
        kept = kept.without(problem, wishes, fewest)


@dataclass(frozen=True, slots=True)
class _How:
    """How a plan is to be mended, whatever stays for a wish."""

    stop: Stop
    firm: frozenset[int]
    seed: int
    workers: int
    backend: backends.Backend
    on_first: OnFirst | None
    should_stop: ShouldStop


def _mend(problem: Problem, posted: Plan, how: _How) -> Reshuffled:
    began = time.monotonic()
    firm = how.firm
    layout = with_homes(compile_problem(problem), posted, firm, FEWEST_MOVES)
    state = empty_state(layout, posted.berths())
    repair(layout, state, posted, firm)
    bring_back(layout, state, posted, firm)
    make_way(layout, state, posted, firm)
    mended = read_plan(layout, state, best=False)
    first = finish_first(layout, posted, mended, firm, state)
    if how.on_first is not None:
        how.on_first(first)
    left = _left_to_search(how.stop, time.monotonic() - began)
    asked = Asked(layout, posted, firm, left, how.seed, how.workers, how.backend, how.should_stop)
    found = [finish(layout, posted, plan, firm) for plan in dict.fromkeys((mended, *search(asked, state)))]
    kept = curve(found, len(problem.boats))
    return Reshuffled(best_of(kept), kept, must_move(layout, posted), time.monotonic() - began)


def _left_to_search(stop: Stop, took: float) -> Stop:
    """What the searches have of the time for the whole curve, of which the first proposal took `took` seconds."""
    if isinstance(stop, Rounds):
        return stop
    return Seconds(max(LEAST_SEARCH * stop.seconds, stop.seconds - (1 + FINISHING) * took))


__all__ = [
    "Change",
    "Choice",
    "Disturbance",
    "JobChange",
    "MustMove",
    "NotKept",
    "Reshuffled",
    "Wishes",
    "changes",
    "moved_boats",
    "must_move",
    "people_changed",
    "reshuffle",
]
