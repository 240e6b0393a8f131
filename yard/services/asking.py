"""Questions that the worker answers, taken up once: begin, beat while at work, end, or let a plan go first."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import TypeVar

from django.db.models import F
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import BackSearch, PlanBound, PlanRun

Asked = TypeVar("Asked", BackSearch, PlanBound)
Clock = Callable[[], datetime]
State = PlanBound.State

LOST_AFTER = timedelta(seconds=120)
"""Whoever works on one beats at least once in a boat's tries, or in a slice of the bound."""
UNTAKEN_AFTER = timedelta(seconds=15)
CUT_OFF = gettext_noop("It was cut off before it was done. Nothing was changed: ask again.")


def begin(row: Asked, now: datetime) -> bool:
    """False where it does not wait any more."""
    waits = type(row).objects.filter(pk=row.pk, state=State.ASKED)
    return bool(waits.update(state=State.WORKING, heartbeat_at=now))


def beat(row: Asked, now: datetime) -> None:
    type(row).objects.filter(pk=row.pk, state=State.WORKING).update(heartbeat_at=now)


def end(row: Asked, now: datetime, error: str = "") -> None:
    state = State.FAILED if error else State.DONE
    type(row).objects.filter(pk=row.pk, state=State.WORKING).update(state=state, ended_at=now, error=error[:300])


def wait_again(row: Asked) -> None:
    """Back to waiting: something that cannot wait goes first."""
    type(row).objects.filter(pk=row.pk, state=State.WORKING).update(state=State.ASKED, heartbeat_at=None)


def cut_off(row: Asked) -> bool:
    """Whoever worked on it is gone. False where nobody did."""
    working = type(row).objects.filter(pk=row.pk, state=State.WORKING)
    return working.update(state=State.FAILED, ended_at=F("heartbeat_at"), error=_(CUT_OFF)) == 1


def is_lost(row: Asked, now: datetime) -> bool:
    """Nobody works on it any more; by a clock that was set back, what beat in an hour to come is lost too."""
    return row.state == State.WORKING and (row.heartbeat_at is None or abs(now - row.heartbeat_at) > LOST_AFTER)


def goes_on(row: Asked, now: datetime) -> bool:
    return row.state in (State.ASKED, State.WORKING) and not is_lost(row, now)


def sentence(row: Asked, now: datetime) -> str:
    """How it stands, for one that is not done."""
    if is_lost(row, now):
        return _(CUT_OFF)
    if row.state == State.ASKED and now - row.asked_at > UNTAKEN_AFTER:
        return _("Waiting: something else is planned first, or the worker is not running (manage.py serve starts it).")
    return {State.ASKED: _("Waiting to begin."), State.WORKING: _("Being worked out."), State.FAILED: row.error}.get(
        State(row.state), ""
    )


def plan_waits() -> bool:
    """Whether somebody waits for a plan, which the worker makes before it answers anything else."""
    return PlanRun.objects.filter(state=PlanRun.State.QUEUED).exists()
