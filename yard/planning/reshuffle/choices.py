"""A plan among those to choose from: finished, checked, priced; and which of several are worth showing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from yard.planning.check import faults
from yard.planning.layout import Layout
from yard.planning.plan import Plan, Score, score
from yard.planning.reasons import left_out
from yard.planning.reshuffle.differences import Disturbance, disturbance
from yard.planning.reshuffle.rain_work import pull_forward
from yard.planning.reshuffle.settling import settle
from yard.planning.solve import PlanBroken

MOST_MOVED = 3  # at most one boat in three moves
LIKE_DAYS = 1  # moving more boats must save at least so many weighted days late


@dataclass(frozen=True, slots=True)
class Choice:
    """A plan that holds, with its cost and how much it disturbs the one on the wall.

    unplanned: boats that had a plan and have none in this one.
    """

    plan: Plan
    score: Score
    disturbance: Disturbance
    unplanned: int = 0


def finish(layout: Layout, posted: Plan, plan: Plan, firm: frozenset[int]) -> Choice:
    """Nobody touched without need, idle hands at indoor work, boats left out named; checked.  Raises PlanBroken."""
    named = left_out(layout, plan)
    return _checked(layout, posted, pull_forward(layout, posted, settle(layout, posted, named)), firm)


def finish_first(layout: Layout, posted: Plan, plan: Plan, firm: frozenset[int], state: Sequence[int]) -> Choice:
    """The same of the first proposal, which `state` holds: it needs no settling, and gives its reasons in short."""
    named = left_out(layout, plan, explain_s=0)
    held = list(state) if named.placements == plan.placements else None
    return _checked(layout, posted, pull_forward(layout, posted, named, held), firm)


def _checked(layout: Layout, posted: Plan, pulled: Plan, firm: frozenset[int]) -> Choice:
    problem = layout.problem
    if found := faults(problem, pulled):
        told = "; ".join(f"{breach.rule}: {breach.message}" for breach in found[:5])
        raise PlanBroken(f"{len(found)} breaches of its own rules: {told}")
    pinned = {pin.job for pin in problem.pins}
    had = {problem.jobs[row.job].boat for row in posted.placements if row.job not in pinned}
    lost = len(had & {row.boat for row in pulled.left_out})
    return Choice(pulled, score(problem, pulled), disturbance(problem, posted, pulled, firm), lost)


def curve(choices: Sequence[Choice], boats: int) -> tuple[Choice, ...]:
    """Those that truly differ, from fewest boats moved to fewest days late; none takes a boat's plan away that another
    keeps, and none moves more than a third of the boats unless every one does."""
    least = min((one.unplanned for one in choices), default=0)
    kindest = [one for one in choices if one.unplanned == least]
    allowed = [one for one in kindest if one.disturbance.boats * MOST_MOVED <= boats] or kindest
    kept: list[Choice] = []
    for one in sorted(allowed, key=_by_boats):
        if not kept or _buys(kept[-1], one):
            kept.append(one)
    return tuple(kept)


def _by_boats(one: Choice) -> tuple[int, ...]:
    """Days late before jobs and people, waiting between jobs after them: nobody changes hands to save a day of flow."""
    found, moved = one.score, one.disturbance
    late = found.weighted_days_late
    return found.left_out, moved.firm, moved.boats, late, moved.jobs, moved.people, found.cost


def _buys(less: Choice, more: Choice) -> bool:
    """Whether moving more boats buys days: else it is only more trouble."""
    return (more.score.left_out, more.score.weighted_days_late + LIKE_DAYS) <= (
        less.score.left_out,
        less.score.weighted_days_late,
    )


def best_of(choices: Sequence[Choice]) -> Choice:
    """The one to propose: nobody loses her plan, firm days and promises kept, then the fewest boats, jobs, people."""
    return min(
        choices,
        key=lambda one: (
            one.unplanned,
            one.score.left_out,
            one.disturbance.firm,
            one.score.late_orders,
            one.disturbance,
            one.score.cost,
        ),
    )
