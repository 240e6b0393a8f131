"""The morning list: which owner is to be told what today, the most urgent first."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Case, Exists, OuterRef, QuerySet, When, Window
from django.db.models.functions import RowNumber

from yard.models import Closure, Fact, Job, Order, Plan, PlannedJob, ShopHours, Telling, YardHoliday, YardSettings
from yard.promise.states import URGENCY, Due, Reason, Rules, State, Told, Work, due
from yard.queries.finished import LEFT, has_work_done

LAST_HOUR = timedelta(hours=1)
DAYS_BACK = 21  # no yard is shut for longer before a day's work


@dataclass(frozen=True, slots=True)
class DueRow:
    """One owner's order. waits_on: facts that keep it from being firm.

    planned: its jobs in the plan by their end; where all boats were asked for at once, the last alone.
    """

    order: Order
    due: Due
    last: Telling | None
    waits_on: tuple[str, ...]
    planned: tuple[PlannedJob, ...] = ()
    final_call_at: datetime | None = None
    is_due: bool = True

    @property
    def state_words(self) -> str:
        return str(Telling.State(self.due.state.value).label)


def letters_due(
    plan: Plan | None, yard: YardSettings, *, now: datetime, boats: Collection[int] | None = None
) -> list[DueRow]:
    """Orders of which the owner must be told something now. Nothing without a posted plan. Seven queries.

    boats: ids; only orders of these.
    """
    found = [row for row in _all_rows(plan, yard, now=now, boats=boats) if row.is_due]
    return sorted(found, key=lambda row: (URGENCY[row.due.reason], row.due.date or date.max, row.order.pk))


def still_told(
    plan: Plan | None, yard: YardSettings, *, now: datetime, boats: Collection[int] | None = None
) -> list[DueRow]:
    """Orders of which what was told last still holds by the plan: `due` says that again. As many queries."""
    return [row for row in _all_rows(plan, yard, now=now, boats=boats) if not row.is_due]


def _all_rows(plan: Plan | None, yard: YardSettings, *, now: datetime, boats: Collection[int] | None) -> list[DueRow]:
    if plan is None:
        return []
    rules = Rules(
        day_told_days_before=yard.day_told_days_before,
        firm_told_hours_before=min(yard.firm_told_hours_before, 24 * yard.day_told_days_before),
    )
    calls = FinalCalls(yard)
    shut = list(Closure.objects.exclude(state=Closure.State.WITHDRAWN).filter(ends_at__gt=now))
    planned, said, told = _planned(plan, boats), _Said(boats), _last_told(boats)
    found = []
    for order in _orders(boats):
        last = told.get(order.pk)
        here = _to_come(planned.get(order.pk, []))
        work = _work(order, here, calls, shut, said)
        if (what := due(work, _told(last), rules, now=now)) is not None:
            found.append(DueRow(order, what, last, work.waits_on, tuple(here), work.final_call_at))
        elif last is not None:
            again = Due(State(last.state), last.told_date, Reason.DAY_DUE)
            found.append(DueRow(order, again, last, work.waits_on, tuple(here), work.final_call_at, is_due=False))
    return found


def _orders(boats: Collection[int] | None) -> QuerySet[Order]:
    """Orders with a boat on file: a walk-in hears when it is done. What is held for a caller is no order yet, and of a
    season that is closed nothing is news.
    """
    rows = Order.objects.filter(boat__isnull=False).exclude(season__closed_at__isnull=False)
    rows = rows.exclude(state=Order.State.CANCELLED).exclude(held__state="held")
    rows = rows if boats is None else rows.filter(boat__in=boats)
    return rows.filter(Exists(Job.objects.filter(order=OuterRef("pk")))).select_related("boat").order_by("id")


def _last_told(boats: Collection[int] | None) -> dict[int, Telling]:
    """The last telling that counts, by order id: a season has five times as many. One query."""
    rows = Telling.objects.filter(taken_back_at=None)
    rows = rows if boats is None else rows.filter(order__boat__in=boats)
    latest = Window(RowNumber(), partition_by="order", order_by=["-told_at", "-id"])
    return {row.order_id: row for row in rows.annotate(back=latest).filter(back=1)}


def _planned(plan: Plan, boats: Collection[int] | None) -> dict[int, list[PlannedJob]]:
    """What the plan says of each order, by its end. Of all boats at once no more is read than what makes a row due: the
    last job that is still to do, or the last of all where none is."""
    rows = plan.planned_jobs.exclude(job__state=Job.State.CANCELLED).select_related("job").order_by("ends_at", "id")
    if boats is None:
        done_first = Case(When(job__state__in=LEFT, then=1), default=0)
        latest = Window(RowNumber(), partition_by="job__order", order_by=[done_first.desc(), "-ends_at", "-id"])
        rows = rows.annotate(back=latest).filter(back=1)
        rows = rows.only("plan", "starts_at", "ends_at", "job__order", "job__state", "job__outdoor")
    else:
        rows = rows.filter(job__order__boat__in=boats)
    found: dict[int, list[PlannedJob]] = {}
    for row in rows:
        found.setdefault(row.job.order_id, []).append(row)
    return found


class _Said:
    """Of each order, which states its jobs are in, and what its open jobs wait for. Two queries."""

    def __init__(self, boats: Collection[int] | None) -> None:
        jobs, waits = Job.objects.all(), Fact.jobs.through.objects.exclude(fact__state=Fact.State.HERE)
        waits = waits.exclude(job__state__in=(Job.State.CANCELLED, Job.State.DONE))
        if boats is not None:
            jobs, waits = jobs.filter(order__boat__in=boats), waits.filter(job__order__boat__in=boats)
        self._states: dict[int, set[str]] = {}
        for order, state in jobs.order_by().values_list("order", "state").distinct():
            self._states.setdefault(order, set()).add(state)
        self._waits: dict[int, dict[str, None]] = {}
        by_job = waits.order_by("job__order", "job__sequence", "job", "fact")
        for order, name in by_job.values_list("job__order", "fact__name"):
            self._waits.setdefault(order, {})[name] = None

    def waits_on(self, order: int) -> tuple[str, ...]:
        return tuple(self._waits.get(order, ()))

    def is_finished(self, order: int) -> bool:
        return has_work_done(self._states.get(order, set()))


def _to_come(planned: list[PlannedJob]) -> list[PlannedJob]:
    """What of an order's planned work is still to do; all of it where nothing is, so that the last day is known."""
    return [row for row in planned if row.job.state in LEFT] or planned


def _told(last: Telling | None) -> Told | None:
    return None if last is None else Told(state=State(last.state), told_date=last.told_date, told_at=last.told_at)


def _work(order: Order, planned: list[PlannedJob], calls: FinalCalls, shut: Iterable[Closure], said: _Said) -> Work:
    """The order's last planned job; its facts are those of all its open jobs."""
    waits_on, done = said.waits_on(order.pk), said.is_finished(order.pk)
    last = planned[-1] if planned else None
    if last is None:
        return Work(day=None, starts_at=None, final_call_at=None, waits_on=waits_on, done=done)
    day = last.ends_at.astimezone(calls.zone).date()
    covers = {Closure.Covers.OUTDOORS, Closure.Covers.WATER}
    closed = last.job.outdoor and any(
        row.covers in covers and row.starts_at < last.ends_at and row.ends_at > last.starts_at for row in shut
    )
    return Work(
        day=day,
        starts_at=last.starts_at,
        final_call_at=calls.before(day),
        waits_on=waits_on,
        shut=closed,
        done=done,
    )


class FinalCalls:
    """When final calls are made: in the last yard hour before a day (Monday's on Saturday noon). Two queries."""

    def __init__(self, yard: YardSettings) -> None:
        self.zone = ZoneInfo(yard.time_zone)
        self.latest = yard.final_call_time
        self.closes: Mapping[int, time] = {
            row.weekday: row.ends for row in ShopHours.objects.order_by("weekday", "ends", "id")
        }
        self.holidays = set(YardHoliday.objects.values_list("day", flat=True))

    def before(self, day: date) -> datetime | None:
        """None where the yard has no hours at all in the three weeks before."""
        for back in range(1, DAYS_BACK + 1):
            at = day - timedelta(days=back)
            closes = self.closes.get(at.weekday())
            if closes is not None and at not in self.holidays:
                last_hour = datetime.combine(at, closes) - LAST_HOUR
                return min(last_hour, datetime.combine(at, self.latest)).replace(tzinfo=self.zone)
        return None
