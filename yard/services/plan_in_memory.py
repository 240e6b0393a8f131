"""The posted plan with the facts it stands on, kept in this process so that one job is tried in a tenth of a second.

Reading a season takes seconds. It is kept under the count of facts, the plan and the quarter of an hour, so that what
anybody changed is read anew; nothing is written from here.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass, replace
from datetime import datetime

from yard.models import FactsRevision, Plan
from yard.planning.freed import pin_of
from yard.planning.plan import Plan as PlannerPlan
from yard.services.read_problem import Kept, ReadProblem, read_and_keep
from yard.services.stored_plan import plan_from_rows, plan_to_mend

QUARTER_S = 900
Key = tuple[int, int, int]
"""The posted plan's id, the count of facts, the quarter of an hour."""


@dataclass(frozen=True)
class InMemory:
    """posted: the row. plan: its work on `read`, what should have begun by now pinned as it stands.

    kept: what `read` was read from; None where nobody will lay an order beside it.
    """

    posted: Plan
    read: ReadProblem
    plan: PlannerPlan
    kept: Kept | None = None


_lock = threading.Lock()
_kept: dict[Key, InMemory] = {}


def plan_in_memory(*, now: datetime) -> InMemory | None:
    """None where no plan is posted. Two queries where it is kept already.  Raises YardNotReady."""
    posted = Plan.objects.filter(state=Plan.State.POSTED).defer("problem", "plan").first()
    if posted is None:
        return None
    key = _key(posted.pk, now)
    with _lock:  # two who ask at once wait for one reading
        if key not in _kept:
            read, kept = read_and_keep(now=now)
            _kept.clear()
            _kept[key] = replace(lay_posted(posted, read), kept=kept)
        return _kept[key]


def keep(key: Key, memory: InMemory) -> None:
    """What another process has read, under the key that it had before it read."""
    with _lock:
        _kept.clear()
        _kept[key] = memory


def key_of(*, now: datetime) -> Key | None:
    """Of what would be read now: the posted plan, the count of facts and the quarter of an hour. Two queries."""
    posted = Plan.objects.filter(state=Plan.State.POSTED).values_list("pk", flat=True).first()
    return None if posted is None else _key(posted, now)


def _key(posted: int, now: datetime) -> Key:
    revision = FactsRevision.objects.filter(pk=1).values_list("count", flat=True).first() or 0
    return posted, revision, int(now.timestamp()) // QUARTER_S


def forget() -> None:
    """Keep nothing: what was read in a transaction that is rolled back was never so."""
    with _lock:
        _kept.clear()


def lay_posted(posted: Plan, read: ReadProblem) -> InMemory:
    """A stored plan on facts read now. What was to begin before now is taken as begun: it stays as it is."""
    plan, left = plan_to_mend(posted, read), plan_from_rows(posted, read).left_out
    known = {pin.job for pin in read.problem.pins}
    begun = [pin_of(row) for row in plan.placements if row.starts_at < read.problem.now and row.job not in known]
    problem = replace(read.problem, pins=(*read.problem.pins, *begun))
    stands = known | {pin.job for pin in begun}
    planned = {problem.jobs[row.job].boat for row in plan.placements if row.job not in stands}
    plan = replace(plan, left_out=tuple(row for row in left if row.boat not in planned))
    return InMemory(posted, replace(read, problem=problem), plan)
