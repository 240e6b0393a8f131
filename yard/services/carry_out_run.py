"""Carry out one planning run: read the facts, plan in a child process, save what it found, and say how it ended.

The run's row is written in autocommit about once a second, never inside one long transaction.  A run is taken up
once: every change of its state is a guarded update, so a run that was marked broken meanwhile saves no plan.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime

from django.conf import settings
from django.db import OperationalError, close_old_connections, transaction
from django.utils.translation import gettext as _

from yard.models import FactsRevision, PlanRun, Proposal, WhatIf, YardSettings
from yard.planning.plan import Infeasible, OutOfTime, Planned, write_plan_json
from yard.planning.problem import ProblemInvalid, write_problem_json
from yard.planning.reshuffle import Reshuffled
from yard.planning.what_if import ChangeImpossible, PlannedBeside
from yard.queries.clock import yard_clock
from yard.services.make_proposal import keep_proposal, mending_order, proposal_failed
from yard.services.plan_process import Broke, Finished, PlanProcess, Progressed, SolveOrder
from yard.services.plan_runs import ACTIVE, BROKEN_TEXT, IN_HAND, stop
from yard.services.read_problem import ReadProblem, YardNotReady, read_problem
from yard.services.save_plan import Making, PlanRefused, save_plan
from yard.services.stored_plan import plan_on_the_wall
from yard.services.what_if_run import keep_what_if, what_if_failed, what_if_order
from yard.speech import number

log = logging.getLogger(__name__)
State = PlanRun.State
Clock = Callable[[], datetime]

BEAT_S = 1.0
START_S = 120  # loading the planner; the first time on a machine it is compiled, 40 s on a slow one
STOP_S = 30  # from "stop" to the best plan
SAVE_TRIES = 3


class RunTakenAway(Exception):
    """The run is not ours any more: it was marked broken while this worker stood still."""


@dataclass(frozen=True, slots=True)
class Overran:
    """The planner neither ended in its time nor after being told to stop, and was killed."""

    seconds: float


Ending = Finished | Broke | Overran


def carry_out(run_id: int, *, clock: Clock, should_leave: Callable[[], bool]) -> None:
    """Carry out a run that waits; one that does not wait any more is left as it is.

    clock: the real time.  should_leave: whether this worker was asked to end; the run then keeps its best plan.
    """
    now = clock()
    taken = PlanRun.objects.filter(pk=run_id, state=State.QUEUED).update(
        state=State.RUNNING, started_at=now, heartbeat_at=now
    )
    if taken != 1:
        log.warning("run %s does not wait any more; it is not carried out again", run_id)
        return
    run = PlanRun.objects.select_related("asked_by").get(pk=run_id)
    try:
        _carry_out(run, clock, should_leave)
    except RunTakenAway:
        log.warning("run %s was marked broken meanwhile; nothing was saved", run_id)
    except BaseException:
        run.result = None  # what was saved with it was rolled back
        with suppress(RunTakenAway):
            _end(run, clock, State.BROKEN, _(BROKEN_TEXT))
        raise


def _carry_out(run: PlanRun, clock: Clock, should_leave: Callable[[], bool]) -> None:
    yard = YardSettings.objects.filter(pk=1).first() or YardSettings()
    try:
        read = read_problem(now=yard_clock(yard, real_now=clock()))
    except YardNotReady as error:
        _end(run, clock, State.FAILED, str(error), ended="not_ready")
        return
    except ProblemInvalid as error:
        _end(
            run,
            clock,
            State.FAILED,
            _("The facts contradict each other: {error}").format(error=error),
            ended="not_ready",
        )
        return
    try:
        read, order = _order(run, read)
    except ChangeImpossible as error:
        _end(run, clock, State.FAILED, str(error), ended="not_ready")
        return
    with PlanProcess(order) as process:
        ending = _watch(run, process, clock, should_leave)
    _keep(run, read, ending, clock)


def _order(run: PlanRun, read: ReadProblem) -> tuple[ReadProblem, SolveOrder]:
    """What the planner is asked.  Raises ChangeImpossible for a what-if that makes no season."""
    if (proposal := Proposal.objects.filter(run=run).select_related("based_on").first()) is not None:
        return read, mending_order(proposal, read)
    on_the_wall = plan_on_the_wall(read)
    order = SolveOrder(
        problem=write_problem_json(read.problem),
        seconds=run.seconds_limit,
        seed=run.seed,
        workers=settings.PLAN_WORKERS,
        solver=settings.PLAN_SOLVER,
        start=write_plan_json(on_the_wall) if on_the_wall else b"",
    )
    if (what_if := WhatIf.objects.filter(run=run).first()) is not None:
        order = what_if_order(what_if, read, order)
    return read, order


def _watch(run: PlanRun, process: PlanProcess, clock: Clock, should_leave: Callable[[], bool]) -> Ending:
    """Until the planner ends: hand on what it tells, and pass on a wish to stop."""
    began = time.monotonic()
    limit_s: float = run.seconds_limit + START_S
    stopping = False
    while time.monotonic() < began + limit_s:
        match process.message(BEAT_S):
            case Progressed(progress):
                run.progress = progress
                if not _beat_is_due(run, clock):
                    continue
            case Finished() | Broke() as ending:
                return ending
        if should_leave():
            stop(run, now=clock())
        if _beat(run, clock) and not stopping:
            stopping = True
            process.ask_to_stop()
            limit_s = min(limit_s, time.monotonic() - began + STOP_S)
    return Overran(time.monotonic() - began)


def _beat_is_due(run: PlanRun, clock: Clock) -> bool:
    # A clock that was set back does not keep anybody from beating: the next ones go by it.
    return run.heartbeat_at is None or abs((clock() - run.heartbeat_at).total_seconds()) >= BEAT_S


def _beat(run: PlanRun, clock: Clock) -> bool:
    """Write that we are alive and how far it is; whether somebody wants it stopped. Raises RunTakenAway."""
    run.heartbeat_at = clock()
    try:
        written = PlanRun.objects.filter(pk=run.pk, state__in=IN_HAND).update(
            heartbeat_at=run.heartbeat_at, progress=run.progress
        )
        if written != 1:
            raise RunTakenAway
        return PlanRun.objects.values_list("stop_asked", flat=True).get(pk=run.pk)
    except OperationalError:
        log.warning("run %s: the database was busy; this second is not written", run.pk)
        close_old_connections()
        return False


def _keep(run: PlanRun, read: ReadProblem, ending: Ending, clock: Clock) -> None:
    """Save a plan, or say in one sentence why there is none."""
    match ending:
        case Finished(Planned() as planned):
            _save(run, read, planned, clock)
        case Finished(Reshuffled() as found):
            _save(run, read, found, clock)
        case Finished(PlannedBeside() as beside):
            _save(run, read, beside, clock)
        case Finished(Infeasible(reasons=reasons)):
            text = _("No plan can place every boat: ") + "; ".join(reasons)
            _end(run, clock, State.FAILED, text, ended="infeasible")
        case Finished(OutOfTime()) if _stop_asked(run):
            _end(run, clock, State.FAILED, _("Stopped before a first plan was found."), ended="stopped")
        case Finished(OutOfTime(seconds=seconds)):
            text = _("No plan was found in {seconds} s, and none is ruled out: give it more time.").format(
                seconds=number(seconds, 0)
            )
            _end(run, clock, State.FAILED, text, ended="out_of_time")
        case Broke(reason=reason, trace=trace):
            log.error("run %s: the planner failed: %s\n%s", run.pk, reason.partition(":")[0], trace)
            text = _("The planner failed and nothing was changed: {reason}. The log has the rest.").format(
                reason=reason
            )
            _end(run, clock, State.FAILED, text, ended="error")
        case Overran(seconds=seconds):
            text = _(
                "The planner did not end by itself and was cut off after {seconds} s; nothing was changed."
            ).format(seconds=number(seconds, 0))
            _end(run, clock, State.FAILED, text, ended="overran")


def _stop_asked(run: PlanRun) -> bool:
    return PlanRun.objects.filter(pk=run.pk, stop_asked=True).exists()


def _save(run: PlanRun, read: ReadProblem, planned: Planned | Reshuffled | PlannedBeside, clock: Clock) -> None:
    making = Making(by=run.asked_by, now=read.now, seed=run.seed)
    for last in (False,) * (SAVE_TRIES - 1) + (True,):
        try:
            with transaction.atomic():
                if isinstance(planned, PlannedBeside):
                    keep_what_if(run, read, planned)
                    run.progress = {**run.progress, "ended": planned.changed.ended}
                elif isinstance(planned, Reshuffled):
                    run.result = keep_proposal(run, read, planned, making)
                    run.progress = {**run.progress, "ended": "time"}
                else:
                    run.result = save_plan(read, planned, making)
                    run.progress = {**run.progress, "ended": planned.ended}
                _end(run, clock, State.DONE, "")
            return
        except PlanRefused as error:
            _end(run, clock, State.FAILED, _refused(error, read), ended="refused")
            return
        except OperationalError:  # another writer held the database longer than its timeout
            if last:
                raise
            close_old_connections()
            time.sleep(BEAT_S)


def _refused(error: PlanRefused, read: ReadProblem) -> str:
    faults = "; ".join(error.faults[:3])
    if FactsRevision.objects.filter(pk=1, count=read.revision).exists():
        return _("The plan breaks a rule of the yard, though no fact changed, and was not saved: {faults}.").format(
            faults=faults
        )
    return _("Facts changed while it was planning, and the plan does not fit them: {faults}. Plan again.").format(
        faults=faults
    )


def _end(run: PlanRun, clock: Clock, state: str, error: str, *, ended: str | None = None) -> None:
    """Store how it ended. Raises RunTakenAway where the row says already that it was cut off."""
    if ended is not None:
        run.progress = {**run.progress, "ended": ended}
    written = PlanRun.objects.filter(pk=run.pk, state__in=ACTIVE).update(
        state=state, error=error, ended_at=clock(), progress=run.progress, result=run.result
    )
    if written != 1:
        raise RunTakenAway
    if state != State.DONE:
        proposal_failed(run)
        what_if_failed(run)
