"""What would bring her back: single changes that let a late or unplanned boat be on time, each tried.

Every way is planned: her open jobs are set free, everybody else stays, the change is made, and she goes in again at her
earliest.  A change is first made wide (an extra person all season, everybody two hours longer, no date); where that
helps, what her new plan uses of it is read off and tried once more alone, so what is told is what is needed and no
more.  Nothing here changes the plan on the wall.

Without any change she is put in again too (`again`): what that gains needs nobody, and no other way counts it as its
own.  Two people more than the yard has for one job are not one change and are not found.
"""

from __future__ import annotations

import time

from yard.planning.plan import Plan
from yard.planning.problem import Problem
from yard.planning.units import CannotExpress
from yard.planning.ways_back.standing import Standing
from yard.planning.ways_back.trier import TimeOver
from yard.planning.ways_back.trying import Search
from yard.planning.ways_back.way import Kind, WayBack

BY_S = 3.0


def stand(problem: Problem, plan: Plan) -> Standing | None:
    """The plan as it stands, for `ways_back` of one boat after another; None where it does not hold on `problem`."""
    try:
        return Standing(problem, plan)
    except CannotExpress:
        return None


def ways_back(
    problem: Problem, plan: Plan, boat: int, *, within_s: float = BY_S, standing: Standing | None = None
) -> tuple[WayBack, ...]:
    """The ways that were found in time, cheapest first; none for a boat on time, or where no single change helps.

    standing: of the same problem and plan (`stand`); without it one is made.
    """
    until = time.monotonic() + within_s
    search = Search(problem, plan, boat, until)
    if not search.open or not search.days_late(search.before):
        return ()
    search.standing = standing or stand(problem, plan)
    found = []
    try:
        for way, _tried in search.found():
            found.append(way)
    except TimeOver:
        pass  # what was found stands
    return tuple(sorted(found, key=lambda way: way.price))


__all__ = ["Kind", "Standing", "WayBack", "stand", "ways_back"]
