"""What the board says of planning: a run going on, a draft that waits, a run that failed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from yard.models import Plan, PlanRun
from yard.services.plan_runs import Progress, progress


@dataclass(frozen=True)
class RunNotes:
    """going: the run under way. failed: the sentence of the last run, if it failed. draft: one newer than the wall's.

    ended: the run that was being watched and is over now.
    """

    going: Progress | None
    failed: str
    draft: Plan | None
    ended: Progress | None = None


def run_notes(posted: Plan | None, *, now: datetime) -> RunNotes:
    """Two queries. now: the real clock, as runs are told by it."""
    run = PlanRun.objects.select_related("result").defer("result__problem", "result__plan").order_by("-asked_at", "-id")
    last = run.exclude(request__has_key="what_if").first()  # its own page tells of it
    told = progress(last, now=now) if last else None
    drafts = Plan.objects.filter(state=Plan.State.DRAFT).defer("problem", "plan").order_by("-id")
    draft = (drafts.filter(pk__gt=posted.pk) if posted else drafts).first()
    going = told if told and told.active else None
    failed = told.sentence if told and told.state in (PlanRun.State.FAILED, PlanRun.State.BROKEN) else ""
    return RunNotes(going, failed, draft, told if told and not told.active else None)
