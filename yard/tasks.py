"""What the background worker does. Arguments are row ids; the work itself stands in yard.services."""

import threading
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import F, QuerySet
from django.utils import timezone
from django_tasks import TaskResultStatus, task
from django_tasks.base import Task
from django_tasks_db.models import DBTaskResult

from yard.models import FactsRevision

worker_is_leaving = threading.Event()
"""Set when the worker was asked to end: a run in hand stops and keeps its best plan."""


@task(queue_name="plan", priority=10)  # somebody waits for it: odds and bounds that wait beside it come after
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


@task(queue_name="default")
def refresh_forecast() -> None:
    """Ask for a forecast if it is time, suggest closures from a new one, and come again when it is time."""
    from django.conf import settings

    from yard.services.fetch_forecast import fetch_if_due
    from yard.services.suggest_closures import suggest_closures

    now = timezone.now()
    if fetch_if_due(real_now=now, folder=settings.DATA_DIR, key=settings.OPEN_METEO_KEY) is not None:
        suggest_closures(real_now=now)
    come_again_for_forecast()


def come_again_for_forecast() -> None:
    """Enqueue the next asking for its time, unless one waits already; none where nobody is asked."""
    from yard.models import ForecastSource, YardSettings
    from yard.services.fetch_forecast import due_at

    source, yard = ForecastSource.objects.filter(pk=1).first(), YardSettings.objects.filter(pk=1).first()
    due = due_at(source, yard.time_zone, real_now=timezone.now()) if source is not None and yard is not None else None
    _come_at(refresh_forecast, due)


def ask_to_refresh_calendars() -> None:
    """Enqueue it, unless it waits already."""
    if not _waiting(refresh_calendars).exists():
        refresh_calendars.enqueue()


@task(queue_name="default")
def send_letters() -> None:
    """Send what was released. Each letter is claimed first, so that two workers never send one twice."""
    from yard.services.letters.sending import send_released

    send_released(clock=timezone.now)


def ask_to_send_letters() -> None:
    """Enqueue it in the transaction that releases a letter, so that neither is there without the other."""
    send_letters.enqueue()


@task(queue_name="default")
def carry_out_sales() -> None:
    """Boats that change hands today. Whoever asked for a page first today has done it already: then nothing is left."""
    from yard.services.whole_change.sale_to_come import carry_out_in_worker

    carry_out_in_worker(real_now=timezone.now())


def carry_out_sales_at(at: datetime) -> None:
    """Enqueue it for that minute, in the transaction that keeps the sale, unless it waits for that minute already."""
    _come_at(carry_out_sales, at)


@task(queue_name="default")
def list_last_year(season_id: int, user_id: int) -> None:
    """Put last year's orders on winter's list, each with its unconfirmed copy. Twice does nothing the second time."""
    from yard.services.owner_pages.winter import list_in_worker

    list_in_worker(season_id, user_id, real_now=timezone.now())


def ask_to_list_last_year(season_id: int, user_id: int) -> None:
    """Enqueue it, unless one waits already."""
    if not _waiting(list_last_year).exists():
        list_last_year.enqueue(season_id, user_id)


@task(queue_name="default")
def let_go_of_held_days() -> None:
    """Let go of what was held for callers and has run out, and look again when the next one does."""
    from yard.services.hold_days import let_go_in_worker

    after = let_go_in_worker(real_now=timezone.now())
    if after is not None:
        ask_to_let_go(after=after)


def ask_to_let_go(*, after: timedelta) -> None:
    """Enqueue it for then, unless one waits for an earlier moment."""
    due = timezone.now() + after
    if not _waiting(let_go_of_held_days).filter(run_after__lte=due).exists():
        let_go_of_held_days.using(run_after=due).enqueue()


@task(queue_name="default")
def look_longer_at_cutting(take_off_id: int) -> None:
    """Look for a shorter cutting plan than the first one, and for a better bound."""
    from yard.services.take_off import look_longer

    look_longer(take_off_id, now=timezone.now())


def ask_to_look_longer(take_off_id: int) -> None:
    """Enqueue it in the transaction that marks it as looked for."""
    look_longer_at_cutting.enqueue(take_off_id)


@task(queue_name="default")
def end_season(year_end_id: int) -> None:
    """Carry a season into the next and close it. Never twice: one that does not wait any more is left as it is."""
    from yard.services.year_end import carry_out

    carry_out(year_end_id, clock=timezone.now)


def ask_to_end_season(year_end_id: int) -> None:
    """Enqueue it in the transaction that keeps what was asked for."""
    end_season.enqueue(year_end_id)


def _waiting(task: Task[Any, Any]) -> QuerySet[DBTaskResult]:
    found: QuerySet[DBTaskResult] = DBTaskResult.objects.filter(
        task_path=task.module_path, status=TaskResultStatus.READY
    )
    return found


@transaction.atomic
def _come_at(task: Task[Any, Any], due: datetime | None) -> None:
    """Enqueue a task without arguments for that moment alone, unless it waits for it already; None: not at all."""
    FactsRevision.objects.filter(pk=1).update(count=F("count"))  # the lock: workers may start together
    waiting = _waiting(task)
    waiting.exclude(run_after=due).delete()
    if due is not None and not waiting.exists():
        task.using(run_after=due).enqueue()
