"""The season as it is and the season with a change, planned alike: the same start, seed and time."""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import dataclass, replace

import msgspec

from yard.planning.plan import Infeasible, OutOfTime, Plan, Planned, Result
from yard.planning.problem import Problem
from yard.planning.progress import OnProgress, Progress, Seconds, ShouldStop, Stop
from yard.planning.solve import solve
from yard.planning.what_if.changes import Change, changed


@dataclass(frozen=True, slots=True)
class PlannedBeside:
    """same: the season as it is, planned once more.  changed: with the change.  Both had the same time."""

    same: Planned
    changed: Planned
    seconds: float


def plan_beside(
    problem: Problem,
    *,
    stop: Stop,
    seed: int,
    workers: int,
    on_progress: OnProgress,
    should_stop: ShouldStop,
    start: Plan | None,
    change: Mapping[str, object],
) -> PlannedBeside | Infeasible | OutOfTime:
    """What the background process calls: half of the time for each.  change: a Change as plain values.

    Without the season planned once more beside it, a change would be praised for what more planning found.
    """
    began = time.monotonic()
    other = changed(problem, msgspec.convert(change, Change))
    half: Stop = Seconds(stop.seconds / 2) if isinstance(stop, Seconds) else stop

    def plan(one: Problem) -> Result:
        def tell(progress: Progress) -> None:
            on_progress(replace(progress, elapsed_s=time.monotonic() - began))

        return solve(one, stop=half, seed=seed, workers=workers, on_progress=tell, should_stop=should_stop, start=start)

    found = []
    for one in (problem, other):
        result = plan(one)
        if not isinstance(result, Planned):
            return result
        found.append(result)
    return PlannedBeside(found[0], found[1], time.monotonic() - began)
