"""What the background worker does. Arguments are row ids; the work itself stands in yard.services."""

import threading

from django.utils import timezone
from django_tasks import TaskResultStatus, task
from django_tasks_db.models import DBTaskResult

worker_is_leaving = threading.Event()
"""Set when the worker was asked to end: a run in hand stops and keeps its best plan."""


@task(queue_name="plan")
def run_plan(run_id: int) -> None:
    """Carry out one planning run. Never twice: a run that is not waiting any more is left as it is."""
    from yard.services.carry_out_run import carry_out  # only the worker loads what it needs

    carry_out(run_id, clock=timezone.now, should_leave=worker_is_leaving.is_set)


@task(queue_name="plan")
def compute_odds(plan_id: int) -> None:
    """Simulate a plan that was posted. Where another hangs there by now, its own task does the work."""
    from yard.services.tell_odds import tell_odds_of_posted

    tell_odds_of_posted(plan_id, real_now=timezone.now())


@task(queue_name="plan")
def prove_bound(bound_id: int) -> None:
    """Prove what no plan can be better than."""
    from yard.services.how_good import work_out

    work_out(bound_id, clock=timezone.now, should_leave=worker_is_leaving.is_set)


@task(queue_name="plan")
def find_ways_back(search_id: int) -> None:
    """Try what would bring the late boats of the posted plan back, boat after boat."""
    from yard.services.back_search import work_out

    work_out(search_id, clock=timezone.now, should_leave=worker_is_leaving.is_set)


@task(queue_name="default")
def refresh_calendars() -> None:
    """Tell calendars what a plan that was posted or withdrawn changed, so that their next readers need not wait."""
    from yard.services.feeds.bring_up_to_date import bring_up_to_date

    bring_up_to_date(now=timezone.now())


def ask_to_refresh_calendars() -> None:
    """Enqueue it, unless it waits already."""
    waits = DBTaskResult.objects.filter(task_path=refresh_calendars.module_path, status=TaskResultStatus.READY)
    if not waits.exists():
        refresh_calendars.enqueue()
