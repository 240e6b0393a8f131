"""Planning runs as pages see them: ask for one, stop it, look how far it is. The worker carries them out.

Here `now` is the real clock, also in an example yard whose own clock stands still: a run's age must grow.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import FactsRevision, PlanRun
from yard.tasks import run_plan

State = PlanRun.State
ACTIVE = (State.QUEUED, State.RUNNING, State.STOPPING)
IN_HAND = (State.RUNNING, State.STOPPING)

BROKEN_AFTER = timedelta(seconds=60)
"""A worker writes once a second, and waits at most 20 s for a locked database."""
UNTAKEN_AFTER = timedelta(seconds=15)
"""A worker looks twice a second."""

BROKEN_TEXT = gettext_noop(
    "The planner was cut off before it was done. Nothing was saved and nothing was changed: plan again."
)


@dataclass(frozen=True, slots=True)
class Asked:
    """The run waits for the worker."""

    run: PlanRun


@dataclass(frozen=True, slots=True)
class AlreadyPlanning:
    """Nothing was asked: this other run is under way, and there is one at a time."""

    run: PlanRun


@dataclass(frozen=True, slots=True)
class Progress:
    """How a run stands, in a sentence and in figures.

    state: as stored, but `broken` for a run that nobody works on any more.  active: it is worth asking again.
    figures: what the planner last told (elapsed_s, cost, phase ...); empty before the first.
    """

    run: PlanRun
    state: str
    sentence: str
    active: bool
    can_stop: bool
    figures: Mapping[str, Any] = field(default_factory=dict)

    @property
    def share_of_time(self) -> float:
        """Time used of the time given, 0 to 1."""
        return min(1.0, float(self.figures.get("elapsed_s", 0.0)) / self.run.seconds_limit)


def ask_for_plan(
    *,
    seconds: int,
    seed: int,
    by: User | None,
    now: datetime,
    request: Mapping[str, Any] | None = None,
    hurry: bool = False,
) -> Asked | AlreadyPlanning:
    """Ask the worker for a plan of all open work. One run at a time.

    request: what it is for, kept with the run.  hurry: a day is lost and cannot wait: whatever is under way is
    stopped, keeps its best plan, and makes room.  Raises ValueError unless 1 <= seconds <= 3600.
    """
    if not 1 <= seconds <= 3600:
        raise ValueError(_("The planner may take 1 to 3600 seconds, not {seconds}.").format(seconds=seconds))
    with transaction.atomic():
        FactsRevision.objects.filter(pk=1).update(count=F("count"))  # the lock: two people may ask at once
        mark_broken(lost(now=now))
        if (other := PlanRun.objects.filter(state__in=ACTIVE).order_by("asked_at", "id").first()) is not None:
            if not hurry:
                return AlreadyPlanning(other)
            for each in PlanRun.objects.filter(state__in=ACTIVE):
                stop(each, now=now)
        run = PlanRun.objects.create(
            asked_by=by, asked_at=now, seconds_limit=seconds, seed=seed, request=dict(request or {})
        )
        run_plan.enqueue(run.pk)
    return Asked(run)


def stop(run: PlanRun, *, now: datetime) -> bool:
    """Stop a run: one under way keeps its best plan, one that waits never begins. False if it has ended already."""
    if PlanRun.objects.filter(pk=run.pk, state=State.QUEUED).update(
        state=State.FAILED, stop_asked=True, ended_at=now, error=_("It was stopped before it began.")
    ):
        return True
    return PlanRun.objects.filter(pk=run.pk, state__in=IN_HAND).update(stop_asked=True, state=State.STOPPING) == 1


def lost(*, now: datetime) -> QuerySet[PlanRun]:
    """Runs that began and that nobody works on any more: their heartbeat is old.

    Or as far ahead: the machine's clock was set back since, and who still worked would have beaten anew by it.
    """
    near = Q(heartbeat_at__range=(now - BROKEN_AFTER, now + BROKEN_AFTER))
    return PlanRun.objects.filter(Q(heartbeat_at=None) | ~near, state__in=IN_HAND)


def mark_broken(runs: QuerySet[PlanRun]) -> int:
    """Store that these runs were cut off. They are never taken up again: whoever wants a plan asks for one."""
    return runs.filter(state__in=ACTIVE).update(state=State.BROKEN, ended_at=F("heartbeat_at"), error=_(BROKEN_TEXT))


def progress(run: PlanRun, *, now: datetime) -> Progress:
    """How the run stands now. Reads nothing but the row given, and changes nothing."""
    state, sentence = _told(run, now)
    return Progress(
        run=run,
        state=state,
        sentence=sentence,
        active=state in ACTIVE,
        can_stop=state in (State.QUEUED, State.RUNNING),
        figures=run.progress,
    )


def _told(run: PlanRun, now: datetime) -> tuple[str, str]:
    match run.state:
        case State.QUEUED if now - run.asked_at > UNTAKEN_AFTER:
            return State.QUEUED, (
                _(
                    "Waiting: nothing in the background has taken it up. Is the worker running? "
                    "(manage.py serve starts it.)"
                )
            )
        case State.QUEUED:
            return State.QUEUED, _("Waiting to begin.")
        case State.RUNNING | State.STOPPING if run.heartbeat_at is None or abs(now - run.heartbeat_at) > BROKEN_AFTER:
            return State.BROKEN, _(BROKEN_TEXT)
        case State.RUNNING:
            return State.RUNNING, _("Planning.")
        case State.STOPPING:
            return State.STOPPING, _("Stopping, and keeping the best plan so far.")
        case State.DONE:
            return State.DONE, _(_DONE.get(run.progress.get("ended", ""), gettext_noop("Done.")))
        case _:
            return run.state, run.error


_DONE = {
    "proved": gettext_noop("Done: no plan costs less."),
    "time": gettext_noop("Done: the time given is used up."),
    "rounds": gettext_noop("Done."),
    "stopped": gettext_noop("Stopped early, and the best plan so far is kept."),
}
