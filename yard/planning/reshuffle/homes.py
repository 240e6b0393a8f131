"""Tell the engine where the posted plan has each job, and what it costs to take a boat or a job off its day."""

from __future__ import annotations

from dataclasses import dataclass, replace

from yard.planning import engine as e
from yard.planning.layout import Layout
from yard.planning.plan import Plan
from yard.planning.reshuffle.differences import quiet_days

FIRM = 10  # times as dear: a boat whose owner was told a firm day


@dataclass(frozen=True, slots=True)
class MovePrice:
    """In the Problem's units of cost: for each boat moved, and for each of her jobs."""

    boat: int
    job: int


def with_homes(layout: Layout, posted: Plan, firm: frozenset[int], price: MovePrice) -> Layout:
    """A copy of the layout whose search stays near the posted plan.

    Boats that are planned as one count once in the search; `disturbance` counts each.
    """
    g = list(layout.g)
    planned = posted.by_job()
    g[e.HOMES] = len(g)
    for job in range(g[e.JOBS]):
        was = planned.get(job)
        if was is None:
            g.extend([-1, 0, 0])
        else:
            g.extend([layout.axis.inner(was.starts_at), *quiet_days(layout.problem, was)])
    g[e.UNIT_MOVED] = len(g)
    units = {layout.units.unit_of[boat] for boat in firm}
    g.extend(price.boat * (FIRM if unit in units else 1) for unit in range(g[e.UNITS]))
    g[e.JOB_MOVED] = price.job
    return replace(layout, g=g)
