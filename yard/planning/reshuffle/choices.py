"""A plan among those to choose from: finished, checked, priced; and which of several are worth showing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from yard.planning.check import faults
from yard.planning.layout import Layout
from yard.planning.plan import Plan, Score, score
from yard.planning.reasons import EXPLAIN_S, left_out
from yard.planning.reshuffle.differences import Disturbance, disturbance
from yard.planning.reshuffle.rain_work import pull_forward
from yard.planning.reshuffle.settling import settle
from yard.planning.solve import PlanBroken

MOST_MOVED = 3  # at most one boat in three moves
LIKE_DAYS = 1  # moving more boats must save at least so many weighted days late


@dataclass(frozen=True, slots=True)
class Choice:
    """A plan that holds, with its cost and how much it disturbs the one on the wall."""

    plan: Plan
    score: Score
    disturbance: Disturbance


def finish(layout: Layout, posted: Plan, plan: Plan, firm: frozenset[int], *, searched: bool = True) -> Choice:
    """Nobody touched without need, idle hands at indoor work, boats left out named; checked.  Raises PlanBroken.

    searched: the plan comes from a search; the first proposal needs no settling, and gives its reasons in short.
    """
    problem, explain_s = layout.problem, EXPLAIN_S if searched else 0
    named = left_out(layout, plan, explain_s=explain_s)
    pulled = pull_forward(layout, posted, settle(layout, posted, named) if searched else named)
    if found := faults(problem, pulled):
        told = "; ".join(f"{breach.rule}: {breach.message}" for breach in found[:5])
        raise PlanBroken(f"{len(found)} breaches of its own rules: {told}")
    return Choice(pulled, score(problem, pulled), disturbance(problem, posted, pulled, firm))


def curve(choices: Sequence[Choice], boats: int) -> tuple[Choice, ...]:
    """Those that truly differ, from fewest boats moved to fewest days late; none moves more than a third of the boats
    unless every one does."""
    allowed = [one for one in choices if one.disturbance.boats * MOST_MOVED <= boats] or list(choices)
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
    """The one to propose: nobody left out, firm days kept, promises kept, then the fewest boats, jobs and people."""
    return min(
        choices,
        key=lambda one: (
            one.score.left_out,
            one.disturbance.firm,
            one.score.late_orders,
            one.disturbance,
            one.score.cost,
        ),
    )
