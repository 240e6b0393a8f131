"""Work that stands where it stood goes back to those who had it, as far as they are free."""

from __future__ import annotations

from dataclasses import replace

from yard.planning.plan import Placement, Plan
from yard.planning.problem import Problem


def give_back_people(problem: Problem, posted: Plan, plan: Plan) -> Plan:
    """The same plan with fewer new names; the plan itself where there is nothing to give back.

    Hours are not looked at: who worked then in the posted plan mostly still may, and whoever calls this checks.
    """
    old = posted.by_job()
    placed = plan.by_job()
    busy: dict[int, list[Placement]] = {}
    for row in plan.placements:
        for person in row.people:
            busy.setdefault(person, []).append(row)
    pinned = {pin.job for pin in problem.pins}
    changed = False
    for job, row in sorted(placed.items()):
        was = old.get(job)
        if was is None or job in pinned or not _same_but_people(was, row):
            continue
        wanted = set(was.people) - set(row.people)
        if any(_clash(row, other) for person in wanted for other in busy.get(person, ())):
            continue
        mine = replace(row, people=was.people)
        for person in row.people:
            busy[person].remove(row)
        for person in mine.people:
            busy.setdefault(person, []).append(mine)
        placed[job], changed = mine, True
    if not changed:
        return plan
    return replace(plan, placements=tuple(placed[job] for job in sorted(placed)))


def _same_but_people(was: Placement, row: Placement) -> bool:
    same = (was.way, was.starts_at, was.ends_at) == (row.way, row.starts_at, row.ends_at)
    return same and was.people != row.people


def _clash(one: Placement, two: Placement) -> bool:
    return one.starts_at < two.ends_at and two.starts_at < one.ends_at
