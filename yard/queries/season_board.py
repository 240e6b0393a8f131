"""Reads of the season board: how each open order stands in a plan, and what its lanes are drawn from."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, NamedTuple

from django.db.models import Count, Max, Q, QuerySet
from django.utils import timezone

from yard.models import (
    Boat,
    Closure,
    Fact,
    Job,
    LeftOut,
    Order,
    Person,
    Place,
    Plan,
    PlannedJob,
    PlannedPerson,
    PlannedPlace,
    PlannedStay,
    PlannedWeek,
    ShopHours,
    Skill,
    YardHoliday,
)
from yard.queries.finished import with_work_left

LATE, WAITING, NO_HAND, ON_TIME = "late", "waiting-on", "no-day-in-hand", "on-time"
NO_PLAN = "not-planned"
STATES = (LATE, WAITING, NO_HAND, ON_TIME, NO_PLAN)
"""The worst first: a boat stands where the worst of her orders stands."""
FACTS = "facts"
"""The rule of what a plan leaves out because a fact is unknown; every other rule means that there was no room."""


@dataclass(frozen=True)
class OrderRow:
    """One open order of a plan. days_in_hand: working days (Monday to Saturday) from its end to its date; below 0 late.

    due: promised, else the latest, else the wanted date.  left_out: why it, or some of it, is not planned.
    """

    order: Order
    ends: date | None
    due: date | None
    days_in_hand: int | None
    state: str
    left_out: str


@dataclass(frozen=True)
class BoatRow:
    """A boat, or a walk-in, with her open orders, the worst first. key names her in addresses."""

    key: str
    name: str
    boat: Boat | None
    orders: tuple[OrderRow, ...]

    @property
    def worst(self) -> OrderRow:
        return self.orders[0]

    @property
    def state(self) -> str:
        return self.worst.state

    @property
    def order_ids(self) -> list[int]:
        return [row.order.pk for row in self.orders]


class LaneJob(NamedTuple):
    """A job as planned, or as done. [starts_at, ends_at), UTC."""

    order_id: int
    job_id: int
    name: str
    letter: str
    trade: str
    starts_at: datetime
    ends_at: datetime
    provisional: bool
    done: bool


class Booking(NamedTuple):
    """A job of a place's or a person's lane."""

    who: int
    job: str
    boat: str
    trade: str
    starts_at: datetime
    ends_at: datetime


class LaneCause(NamedTuple):
    """A PlannedCause with what is said of its job. water_need: as the job has it."""

    order_id: int
    job_id: int
    job: str
    water_need: str
    sequence: int
    kind: str
    detail: str
    ready_at: datetime
    starts_at: datetime
    days: int
    could_start_at: datetime | None


class Awaited(NamedTuple):
    """A fact that a job waits for and that is not here yet."""

    job_id: int
    fact_id: int
    name: str


@dataclass(frozen=True)
class BoatLanes:
    """What the lanes of some boats show: jobs by order, reasons by order, facts awaited by job, skills by key."""

    jobs: dict[int, list[LaneJob]]
    causes: dict[int, list[LaneCause]]
    awaited: dict[int, list[Awaited]]
    skills: dict[str, str]


@dataclass(frozen=True)
class Shutting:
    """What says when nobody works: shop hours, holidays by day, closures that are or may be."""

    shop: tuple[ShopHours, ...]
    holidays: dict[date, str]
    closures: tuple[Closure, ...]


def boat_rows(plan: Plan | None, *, find: str = "") -> list[BoatRow]:
    """Every boat and walk-in with work left whose name has these letters, the worst first. Three queries."""
    orders = with_work_left(Order.objects.filter(state=Order.State.OPEN)).select_related("boat").order_by("id")
    if find:
        orders = orders.filter(Q(boat__name__icontains=find) | Q(walk_in_name__icontains=find))
    spans = {} if plan is None else _spans(plan)
    left = {} if plan is None else _left_out(plan)
    return _grouped(orders, plan, spans, left)


def rows_of_boat(
    plan: Plan | None, orders: Sequence[Order], planned: Iterable[PlannedJob], left_out: Iterable[LeftOut]
) -> list[BoatRow]:
    """The same of one boat, from what was read of her: none, or hers. No query.

    orders: open ones of hers with work left, with their jobs at hand. planned, left_out: rows of that plan; of what
    it left out of one order the first is told.
    """
    of_job = {job.pk: order.pk for order in orders for job in order.jobs.all()}
    spans: dict[int, _Span] = {}
    for row in planned:
        if (order := of_job.get(row.job_id)) is not None:
            before = spans.get(order, _Span(row.ends_at, 0))
            spans[order] = _Span(max(before.last, row.ends_at), before.provisional + row.provisional)
    left: dict[int, tuple[str, str]] = {}
    for out in left_out:
        if out.order_id is not None:
            left.setdefault(out.order_id, (out.rule, _reason(out.job.name if out.job else None, out.reason)))
    return _grouped(orders, plan, spans, left)


def _grouped(
    orders: Iterable[Order], plan: Plan | None, spans: dict[int, _Span], left: dict[int, tuple[str, str]]
) -> list[BoatRow]:
    grouped: dict[str, list[OrderRow]] = defaultdict(list)
    for order in orders:
        if plan is None or order.pk in spans or order.pk in left:
            grouped[key_of(order)].append(_order_row(order, plan, spans.get(order.pk), left.get(order.pk)))
    rows = [_boat_row(key, found) for key, found in grouped.items()]
    return sorted(rows, key=lambda row: (*_rank(row.worst), row.key))


def key_of(order: Order) -> str:
    """ "boat-12", or "walk-in-3" by the order's id."""
    return f"boat-{order.boat_id}" if order.boat_id else f"walk-in-{order.pk}"


def _boat_row(key: str, found: list[OrderRow]) -> BoatRow:
    found.sort(key=_rank)
    order = found[0].order
    return BoatRow(key, order.boat.name if order.boat else order.walk_in_name, order.boat, tuple(found))


def _rank(row: OrderRow) -> tuple[int, date, int]:
    return STATES.index(row.state), row.due or date.max, row.order.pk


class _Span(NamedTuple):
    last: datetime
    provisional: int


def _spans(plan: Plan) -> dict[int, _Span]:
    found = plan.planned_jobs.order_by().values_list("job__order_id")
    rows = found.annotate(last=Max("ends_at"), provisional=Count("id", filter=Q(provisional=True)))
    return {order: _Span(last, provisional) for order, last, provisional in rows}


def _left_out(plan: Plan) -> dict[int, tuple[str, str]]:
    """The rule and the reason by order; of several the first."""
    rows = LeftOut.objects.filter(plan=plan, order__isnull=False).order_by("-id")
    told = rows.values_list("order_id", "rule", "job__name", "reason")
    return {order: (rule, _reason(job, reason)) for order, rule, job, reason in told}


def _reason(job: str | None, reason: str) -> str:
    return f"{job}: {reason}" if job and not reason.startswith(job) else reason


def _order_row(order: Order, plan: Plan | None, span: _Span | None, left: tuple[str, str] | None) -> OrderRow:
    due = order.promised_date or order.latest_date or order.wanted_date
    ends = timezone.localtime(span.last).date() if span else None
    in_hand = working_days_between(ends, due) if ends and due else None
    if plan is None:
        state = NO_PLAN
    elif (in_hand is not None and in_hand < 0) or (left and left[0] != FACTS):
        state = LATE
    elif left or (span and span.provisional):
        state = WAITING
    else:
        state = NO_HAND if in_hand == 0 else ON_TIME
    return OrderRow(order, ends, due, in_hand, state, left[1] if left else "")


def working_days_between(one: date, two: date) -> int:
    """Mondays to Saturdays after `one` up to `two`; negative where `two` comes first."""
    if two < one:
        return -working_days_between(two, one)
    weeks, rest = divmod((two - one).days, 7)
    return 6 * weeks + sum(1 for step in range(1, rest + 1) if (one + timedelta(days=step)).weekday() != 6)


def boat_lanes(plan: Plan | None, rows: Sequence[BoatRow]) -> BoatLanes:
    """What is drawn for these boats: their planned and done jobs, and why the worst order of each ends when it does.

    Five queries, however many boats.
    """
    orders = [pk for row in rows for pk in row.order_ids]
    jobs: dict[int, list[LaneJob]] = defaultdict(list)
    for lane in _done(orders) if plan is None else [*_done(orders), *_planned(plan, orders)]:
        jobs[lane.order_id].append(lane)
    causes: dict[int, list[LaneCause]] = defaultdict(list)
    for cause in [] if plan is None else _causes(plan, [row.worst.order.pk for row in rows]):
        causes[cause.order_id].append(cause)
    awaited: dict[int, list[Awaited]] = defaultdict(list)
    for fact in _awaited(orders):
        awaited[fact.job_id].append(fact)
    return BoatLanes(dict(jobs), dict(causes), dict(awaited), dict(Skill.objects.values_list("key", "name")))


def _causes(plan: Plan, orders: Sequence[int]) -> list[LaneCause]:
    about = ("job__name", "job__water_need", "sequence", "kind", "detail", "ready_at", "starts_at", "days")
    rows = plan.causes.filter(order__in=orders).order_by("order_id", "sequence")
    return [LaneCause(*row) for row in rows.values_list("order_id", "job_id", *about, "could_start_at")]


def _awaited(orders: Sequence[int]) -> list[Awaited]:
    rows = Fact.jobs.through.objects.filter(job__order__in=orders).exclude(fact__state=Fact.State.HERE)
    found = rows.order_by("fact__expected_date", "fact_id", "id").values_list("job_id", "fact_id", "fact__name")
    return [Awaited(*row) for row in found]


_LANE = ("order_id", "id", "name", "kind__letter", "kind__trade")


def _planned(plan: Plan, orders: Sequence[int]) -> list[LaneJob]:
    rows = plan.planned_jobs.filter(job__order__in=orders).exclude(job__state=Job.State.DONE)
    found = rows.order_by("starts_at", "id").values_list(
        *(f"job__{name}" for name in _LANE), "starts_at", "ends_at", "provisional"
    )
    return [_lane(row[:5], *row[5:], done=False) for row in found]


def _done(orders: Sequence[int]) -> list[LaneJob]:
    rows = Job.objects.filter(order__in=orders, state=Job.State.DONE, actual_ends_at__isnull=False)
    found = rows.order_by("actual_ends_at", "id").values_list(*_LANE, "actual_starts_at", "actual_ends_at")
    return [_lane(row[:5], row[5] or row[6], row[6], provisional=False, done=True) for row in found]


def _lane(about: Sequence[Any], starts_at: datetime, ends_at: datetime, provisional: bool, *, done: bool) -> LaneJob:
    """about: the values of _LANE."""
    order_id, job_id, name, letter, trade = about
    return LaneJob(order_id, job_id, name, letter, trade, starts_at, ends_at, provisional, done)


_BOOKING = ("name", "order__boat__name", "order__walk_in_name", "kind__trade")


def place_bookings(plan: Plan, starts_at: datetime, ends_at: datetime) -> list[Booking]:
    """What each place is booked for in [starts_at, ends_at). One query."""
    return _bookings(PlannedPlace.objects.all(), "place_id", plan, starts_at, ends_at)


def nights_booked(plan: Plan, starts_at: datetime, ends_at: datetime) -> list[PlannedStay]:
    """Who lies where by night at any time in [starts_at, ends_at), with the boat at hand. One query."""
    rows = plan.planned_stays.filter(starts_at__lt=ends_at, ends_at__gt=starts_at)
    return list(rows.select_related("stay__order__boat").order_by("starts_at", "id"))


def person_bookings(plan: Plan, starts_at: datetime, ends_at: datetime) -> list[Booking]:
    """What each person is booked for in [starts_at, ends_at). One query."""
    return _bookings(PlannedPerson.objects.all(), "person_id", plan, starts_at, ends_at)


def _bookings(rows: QuerySet, who: str, plan: Plan, starts_at: datetime, ends_at: datetime) -> list[Booking]:
    job = [f"planned_job__job__{name}" for name in _BOOKING]
    found = (
        rows.filter(planned_job__plan=plan, planned_job__starts_at__lt=ends_at, planned_job__ends_at__gt=starts_at)
        .order_by("planned_job__starts_at", "id")
        .values_list(who, *job, "planned_job__starts_at", "planned_job__ends_at")
    )
    return [Booking(who, name, boat or walk_in, trade, s, e) for who, name, boat, walk_in, trade, s, e in found]


def places_and_people() -> tuple[list[Place], list[Person]]:
    """Everything and everybody in use, in the yard's own order. Two queries."""
    places = Place.objects.filter(archived=False).order_by("sequence", "name", "id")
    return list(places), list(Person.objects.filter(archived=False).order_by("short_name", "id"))


def person_weeks(plan: Plan, first: date, last: date) -> QuerySet[PlannedWeek]:
    """Booked and available minutes by person and week, Mondays in [first, last). One query."""
    rows = plan.weeks.filter(monday__gte=first, monday__lt=last).select_related("person")
    return rows.order_by("monday", "person__short_name", "id")


def trades_of_people(plan: Plan) -> dict[int, str]:
    """The trade in which the plan books each person most. One query."""
    rows = PlannedPerson.objects.filter(planned_job__plan=plan).order_by()
    counted: dict[int, Counter[str]] = defaultdict(Counter)
    for person, trade, count in rows.values_list("person_id", "planned_job__job__kind__trade").annotate(Count("id")):
        counted[person][trade] += count
    return {person: max(sorted(trades), key=lambda trade: trades[trade]) for person, trades in counted.items()}


def shutting(starts_at: datetime, ends_at: datetime) -> Shutting:
    """Shop hours, holidays, and what closes outdoor work or the water in [starts_at, ends_at). Three queries."""
    closures = Closure.objects.exclude(state=Closure.State.WITHDRAWN).exclude(covers=Closure.Covers.PLACE)
    return Shutting(
        shop=tuple(ShopHours.objects.all()),
        holidays=dict(YardHoliday.objects.values_list("day", "name")),
        closures=tuple(closures.filter(starts_at__lt=ends_at, ends_at__gt=starts_at).order_by("starts_at", "id")),
    )


def jobs_of_orders(plan: Plan | None, orders: Sequence[int]) -> list[PlannedJob]:
    """What a plan does for these orders, by start, with people and places at hand. Three queries."""
    if plan is None:
        return []
    rows = plan.planned_jobs.filter(job__order__in=orders).select_related("job__kind", "job__order")
    return list(rows.prefetch_related("planned_people", "planned_places__place").order_by("starts_at", "id"))


def planned_jobs_listed(plan: Plan) -> QuerySet[PlannedJob]:
    """Every job of a plan as a list shows it: boat, people and places at hand. Three queries."""
    rows = plan.planned_jobs.select_related("job__kind", "job__order__boat")
    return rows.prefetch_related("planned_people", "planned_places__place").order_by("starts_at", "id")
