"""What-ifs as people ask and decide them: keep, throw away, make a draft. The posted plan is never touched."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _

from yard.models import FactsRevision, Plan, WhatIf
from yard.planning.plan import Placement, Planned, StayAt, read_plan_json, score
from yard.planning.plan import Plan as PlannerPlan
from yard.planning.problem import Problem, read_problem_json
from yard.planning.timeline import Timeline
from yard.services.plan_runs import AlreadyPlanning, ask_for_plan
from yard.services.read_problem import ReadProblem, read_problem
from yard.services.save_plan import Making, PlanRefused, save_plan

State = WhatIf.State
SECONDS = 60
"""For both plans together."""


class WhatIfRefused(Exception):
    """It cannot be asked or decided so; the text says why and what to do. Nothing was changed."""


def ask_what_if(
    *, change: Mapping[str, Any], says: str, form_key: UUID, by: User | None, now: datetime, seconds: int = SECONDS
) -> WhatIf:
    """Have the worker plan a changed copy.  now: the real clock.  The same form sent twice is asked once.

    Raises WhatIfRefused while another run is under way.
    """
    with transaction.atomic():
        FactsRevision.objects.filter(pk=1).update(count=F("count"))  # the lock: two presses may come at once
        if (known := WhatIf.objects.filter(form_key=form_key).first()) is not None:
            return known
        row = WhatIf.objects.create(change=dict(change), says=says[:200], form_key=form_key, asked_by=by, asked_at=now)
        asked = ask_for_plan(seconds=seconds, seed=1, by=by, now=now, request={"what_if": row.pk})
        if isinstance(asked, AlreadyPlanning):
            transaction.set_rollback(True)
            raise WhatIfRefused(_("The planner is at work already: wait until it is done, or stop it, then ask again."))
        row.run = asked.run
        row.save(update_fields=["run"])
    return row


def keep(row: WhatIf, *, by: User | None, now: datetime) -> None:
    """Keep it to come back to.  Raises WhatIfRefused where somebody has decided already."""
    _decide(row, State.KEPT, by, now, from_states=(State.READY,))


def throw_away(row: WhatIf, *, by: User | None, now: datetime) -> None:
    """Its figures stay for the record; its plan is gone.  Raises WhatIfRefused."""
    _decide(row, State.DROPPED, by, now, from_states=(State.READY, State.KEPT, State.FAILED))
    WhatIf.objects.filter(pk=row.pk).update(problem="", plan="")


def make_draft(row: WhatIf, *, by: User | None, now: datetime) -> Plan:
    """A draft among the plans, where its plan holds on the facts as they are.  now: the yard's clock.

    Raises WhatIfRefused, naming what it breaks: somebody or something that the yard does not have is entered first.
    """
    if not row.plan or row.state not in (State.READY, State.KEPT):
        raise WhatIfRefused(_("Its plan is gone: ask the same again."))
    if row.change.get("type") == "person":
        raise WhatIfRefused(
            _("Its plan needs somebody whom the yard does not have: enter the person, then plan again.")
        )
    read = read_problem(now=now)
    laid = relaid(read_problem_json(row.problem), read_plan_json(row.plan), read)
    planned = Planned(laid, score(read.problem, laid), 0, False, 0.0, "time")
    try:
        with transaction.atomic():
            draft = save_plan(
                read, planned, Making(by=by, now=now, seed=1, note=_("What if: {says}").format(says=row.says)[:200])
            )
            _decide(row, State.KEPT, by, now, from_states=(State.READY, State.KEPT))
            WhatIf.objects.filter(pk=row.pk).update(made=draft)
    except PlanRefused as refused:
        told = "; ".join(dict.fromkeys(refused.faults[:3]))
        raise WhatIfRefused(
            _("Its plan does not hold on the facts as they are now: {told}.").format(told=told)
        ) from refused
    return draft


def _decide(row: WhatIf, state: str, by: User | None, now: datetime, *, from_states: tuple[str, ...]) -> None:
    changed = WhatIf.objects.filter(pk=row.pk, state__in=from_states).update(state=state, decided_by=by, decided_at=now)
    if changed != 1:
        raise WhatIfRefused(_("Somebody has decided it already: look at it again."))


def relaid(old: Problem, plan: PlannerPlan, read: ReadProblem) -> PlannerPlan:
    """The same work at the same clock times, by key, on the facts read now; what is gone there is left away."""
    new, was, now = read.problem, Timeline(old.calendar), read.axis.timeline
    shift = (was.epoch - now.epoch).total_seconds() // 60
    jobs, people, places = (_by_key(rows) for rows in (new.jobs, new.people, new.places))

    def row(placed: Placement) -> Placement:
        starts, ends = was.minute_at(placed.starts_at) + int(shift), was.end_minute(placed.ends_at) + int(shift)
        return Placement(
            job=jobs[old.jobs[placed.job].key],
            way=placed.way,
            starts_at=now.first_at_or_after(starts),
            ends_at=now.last_at_or_before(ends - 1) + 1,
            people=tuple(people.get(old.people[person].key, -1) for person in placed.people),
            places=tuple((places.get(old.places[place].key, -1), unit) for place, unit in placed.places),
        )

    kept = [row(placed) for placed in plan.placements if old.jobs[placed.job].key in jobs]
    return PlannerPlan(placements=tuple(sorted(kept, key=lambda placed: placed.job)), stays=_stays(old, plan, new))


def _stays(old: Problem, plan: PlannerPlan, new: Problem) -> tuple[StayAt, ...]:
    """Stays have no key: found again by their boat and the jobs at their ends."""
    places = _by_key(new.places)
    known = {_ends(new, number): number for number in range(len(new.stays))}
    found = [
        StayAt(stay=known[key], place=places[place], unit=at.unit)
        for at in plan.stays
        if (key := _ends(old, at.stay)) in known and (place := old.places[at.place].key) in places
    ]
    return tuple(sorted(found, key=lambda at: at.stay))


def _ends(problem: Problem, stay: int) -> tuple[str, str, str]:
    row = problem.stays[stay]
    first, last = ("" if job is None else problem.jobs[job].key for job in (row.from_job, row.until_job))
    return problem.boats[row.boat].key, first, last


def _by_key(rows: Any) -> dict[str, int]:
    return {row.key: index for index, row in enumerate(rows)}
