"""What a worker that is gone had in hand: taken up again, or said to have been cut off, so that a person decides.

A planning run and a year's end are never begun a second time by themselves. The other pieces are safe to do twice and
are tried once more; a piece under which two workers ended is given up.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from yard.models import BackSearch, PlanBound, PlanRun, WorkerLease, YearEnd
from yard.services import asking, leases, plan_runs
from yard.services.make_proposal import proposal_failed
from yard.services.take_off import stop_looking
from yard.services.what_if_run import what_if_failed
from yard.tasks import end_season, find_ways_back, look_longer_at_cutting, prove_bound, run_plan

MOST_TRIES = 2
KEEP_RESULTS = timedelta(days=14)
YEAR_END_CUT_OFF = gettext_noop(
    "The worker that carried it out ended before it was done: go on with it, or take it back."
)


class WorkerKilled(Exception):
    """The worker that had this task in hand ended before the task did."""


@dataclass(frozen=True, slots=True)
class Piece:
    """How the row that a task works on is settled, by its id.

    cut_off: say in the row that it was cut off; False where it had not begun, or was over.
    again: let the row be begun once more; None where a person decides on that.
    """

    cut_off: Callable[[int], bool]
    again: Callable[[int], None] | None = None


def settle_left_behind() -> int:
    """Settle every task whose worker has no lease any more, and every run that no task stands for. Gives how many.

    Any worker may call it, whatever it or the others have in hand; what two find at once is settled once.
    """
    leases.end_silent()
    # Tasks before leases: a task that is in hand here was claimed under a lease that was there before it.
    in_hand = [(row.pk, _holder(row)) for row in DBTaskResult.objects.running()]
    alive = set(WorkerLease.objects.values_list("key", flat=True))
    settled = sum(_settle(pk) for pk, holder in in_hand if holder not in alive)
    return settled + _settle_runs_without_task()


def drop_old_results() -> None:
    """What was done long ago is looked at by nobody."""
    DBTaskResult.objects.finished().filter(finished_at__lt=timezone.now() - KEEP_RESULTS).delete()


@transaction.atomic
def _settle(pk: Any) -> bool:
    """One task, unless another worker settles it at this moment, or it was settled and claimed anew meanwhile."""
    row = DBTaskResult.objects.running().select_for_update(skip_locked=True).filter(pk=pk).first()
    if row is None or WorkerLease.objects.filter(key=_holder(row)).exists():
        return False
    piece = PIECES.get(row.task_path)
    if len(row.worker_ids) >= MOST_TRIES:
        if piece is not None:
            piece.cut_off(_row_id(row))
    elif piece is None or (piece.again is None and not piece.cut_off(_row_id(row))):
        return _wait_again(row)
    elif piece.again is not None:
        piece.again(_row_id(row))
        return _wait_again(row)
    row.set_failed(WorkerKilled(_("the worker ended before this was done")))
    return True


def _wait_again(row: DBTaskResult) -> bool:
    DBTaskResult.objects.filter(pk=row.pk).update(status=TaskResultStatus.READY, started_at=None)
    return True


def _settle_runs_without_task() -> int:
    """Planning runs that wait or go on, but for which no task is there: nobody would ever end them.

    Runs are read before tasks: a run asked for between the two is not among them.
    """
    runs = set(PlanRun.objects.filter(state__in=plan_runs.ACTIVE).values_list("pk", flat=True))
    if not runs:
        return 0
    open_tasks = DBTaskResult.objects.filter(
        task_path=run_plan.module_path, status__in=(TaskResultStatus.READY, TaskResultStatus.RUNNING)
    )
    return sum(_cut_off_run(pk, plan_runs.ACTIVE) for pk in runs - {_row_id(row) for row in open_tasks})


def _holder(row: DBTaskResult) -> str:
    return str(row.worker_ids[-1]) if row.worker_ids else ""


def _row_id(row: DBTaskResult) -> int:
    return int(row.args_kwargs["args"][0])


@transaction.atomic
def _cut_off_run(pk: int, states: tuple[PlanRun.State, ...] = plan_runs.IN_HAND) -> bool:
    if plan_runs.mark_broken(PlanRun.objects.filter(pk=pk, state__in=states)) != 1:
        return False
    run = PlanRun.objects.get(pk=pk)
    proposal_failed(run)
    what_if_failed(run)
    return True


def _cut_off_year_end(pk: int) -> bool:
    under_way = YearEnd.objects.filter(pk=pk, state=YearEnd.State.RUNNING)
    return under_way.update(state=YearEnd.State.STOPPED, trouble=_(YEAR_END_CUT_OFF)) == 1


def _question(model: type[asking.Asked]) -> Piece:
    return Piece(lambda pk: asking.cut_off(model(pk=pk)), lambda pk: asking.wait_again(model(pk=pk)))


PIECES: Mapping[str, Piece] = {
    run_plan.module_path: Piece(_cut_off_run),
    end_season.module_path: Piece(_cut_off_year_end),
    prove_bound.module_path: _question(PlanBound),
    find_ways_back.module_path: _question(BackSearch),
    look_longer_at_cutting.module_path: Piece(stop_looking, lambda pk: None),
}
"""By the path of the task. Whatever is not here works on no row of its own and is safe to do twice."""
