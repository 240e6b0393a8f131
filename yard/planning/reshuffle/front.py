"""The reshuffle as the background process calls it: the same arguments as `solve`, and the boats that are firm."""

from __future__ import annotations

import time
from collections.abc import Sequence

from yard.planning.plan import Plan
from yard.planning.problem import Problem
from yard.planning.progress import OnProgress, Progress, ShouldStop, Stop
from yard.planning.reshuffle import Choice, Reshuffled, Wishes, reshuffle


def mend(
    problem: Problem,
    *,
    stop: Stop,
    seed: int,
    workers: int,
    on_progress: OnProgress,
    should_stop: ShouldStop,
    start: Plan,
    firm: Sequence[int] = (),
    keep_boats: Sequence[int] = (),
    leave_people: Sequence[int] = (),
) -> Reshuffled:
    """start: the posted plan, laid on `problem`.  firm, keep_boats: boats; leave_people: people.

    The first proposal is told as progress as soon as it stands.
    """
    began = time.monotonic()
    on_progress(Progress(0.0, None, None, None, "compiling"))

    def first(choice: Choice) -> None:
        found = choice.score
        on_progress(Progress(time.monotonic() - began, found.cost, found.late_orders, found.left_out, "first plan"))

    return reshuffle(
        problem,
        start,
        stop=stop,
        firm=frozenset(firm),
        wishes=Wishes(frozenset(keep_boats), frozenset(leave_people)),
        seed=seed,
        workers=workers,
        on_first=first,
        should_stop=should_stop,
    )
