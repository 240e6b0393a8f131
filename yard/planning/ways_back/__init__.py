"""What would bring her back: single changes that let a late or unplanned boat be on time, each tried.

Every way is planned: her open jobs are set free, everybody else stays, the change is made, and she goes in again at her
earliest.  A change is first made wide (an extra person all season, everybody two hours longer, no date); where that
helps, what her new plan uses of it is read off and tried once more alone, so what is told is what is needed and no
more.  Nothing here changes the plan on the wall.

Without any change she is put in again too (`again`): what that gains needs nobody, and no other way counts it as its
own.  Two people more than the yard has for one job are not one change and are not found.

On season M (plans of a minute, two busy cores) a list takes 1.6 to 3.1 s; of ten late boats one has a single way back,
one more pair of hands: the search has used the others already, and those seasons tell no water for Saturdays.
"""

from __future__ import annotations

import time

from yard.planning.plan import Plan
from yard.planning.problem import Problem
from yard.planning.ways_back.trying import Search, TimeOver
from yard.planning.ways_back.way import Kind, WayBack

BY_S = 3.0


def ways_back(problem: Problem, plan: Plan, boat: int, *, within_s: float = BY_S) -> tuple[WayBack, ...]:
    """The ways that were found in time, cheapest first; none for a boat on time, or where no single change helps."""
    search = Search(problem, plan, boat, time.monotonic() + within_s)
    if not search.open or not search.days_late(search.before):
        return ()
    found = []
    try:
        for way, _tried in search.found():
            found.append(way)
    except TimeOver:
        pass  # what was found stands
    return tuple(sorted(found, key=lambda way: way.price))


__all__ = ["Kind", "WayBack", "ways_back"]
