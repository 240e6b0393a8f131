"""Reads of how honest the yard was: promised and done, days lost, hours estimated and measured."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from yard.models import Closure, DayOdds, Job, JobKind, Order, PackageWay, Pausing, Telling, Trade, YardSettings
from yard.promise.hours import BENCH_AND_RIG, ROUTINE, Scatter, learn, prior

LEAST_JOBS = 3
"""Fewer measured jobs suggest nothing (common practice)."""
LEAST_DIFFERENCE = 0.1
"""A tenth is within the scatter of any job (common practice)."""
QUARTER_MIN = 15


@dataclass(frozen=True)
class Outcome:
    """A finished order. promised: on the order. firm: the day last called firm. chance: said of the promised date when
    it was first reckoned."""

    order: Order
    done: date
    promised: date | None
    firm: date | None
    chance: float | None

    @property
    def days_late(self) -> int | None:
        """Calendar days after the promised date; 0 or less is kept."""
        return None if self.promised is None else (self.done - self.promised).days


@dataclass(frozen=True)
class Hours:
    """One job of a package. jobs: finished and measured. ratio: what the next one takes of the estimate, the middle of
    what is believed. suggested_min: whole quarters; None where too few were measured or nothing would change."""

    way: PackageWay
    jobs: int
    estimated_min: float
    measured_min: float
    ratio: float
    suggested_min: int | None


def outcomes(yard: YardSettings) -> list[Outcome]:
    """Orders of boats of which all work is done, the latest first. Four queries.

    Nobody has to call an order done for that: it stands as open until its season is ended.
    """
    zone = ZoneInfo(yard.time_zone)
    ended: dict[int, date] = {}
    unfinished = Job.objects.exclude(state__in=[Job.State.DONE, Job.State.CANCELLED]).values("order")
    rows = Job.objects.filter(state=Job.State.DONE, actual_ends_at__isnull=False)
    rows = rows.exclude(order__state=Order.State.CANCELLED).exclude(order__in=unfinished)
    for order, at in rows.order_by("actual_ends_at").values_list("order", "actual_ends_at"):
        if at is not None:
            ended[order] = at.astimezone(zone).date()
    chances = _first_chances(set(ended))
    firm = _last_firm(set(ended))
    orders = Order.objects.filter(pk__in=ended, boat__isnull=False).select_related("boat", "package")
    found = [Outcome(row, ended[row.pk], row.promised_date, firm.get(row.pk), chances.get(row.pk)) for row in orders]
    return sorted(found, key=lambda each: (each.done, each.order.pk), reverse=True)


def _first_chances(orders: set[int]) -> dict[int, float]:
    rows = DayOdds.objects.filter(order__in=orders, milestone=DayOdds.Milestone.DONE, chance_kept__isnull=False)
    found: dict[int, float] = {}
    for order, chance in rows.order_by("odds__made_at", "id").values_list("order", "chance_kept"):
        if chance is not None:
            found.setdefault(order, chance)
    return found


def _last_firm(orders: set[int]) -> dict[int, date]:
    rows = Telling.objects.filter(order__in=orders, state=Telling.State.FIRM, taken_back_at=None)
    told = rows.order_by("told_at", "id").values_list("order", "told_date")
    return {order: day for order, day in told if day is not None}


def days_lost(yard: YardSettings) -> dict[date, int]:
    """By the first of each month, days on which outdoor work or the water was closed and a person agreed. One query."""
    zone = ZoneInfo(yard.time_zone)
    days: set[date] = set()
    for row in Closure.objects.filter(state=Closure.State.ACCEPTED).exclude(covers=Closure.Covers.PLACE):
        day, last = row.starts_at.astimezone(zone).date(), (row.ends_at - timedelta(seconds=1)).astimezone(zone).date()
        while day <= last:
            days.add(day)
            day += timedelta(days=1)
    found: dict[date, int] = defaultdict(int)
    for day in days:
        found[day.replace(day=1)] += 1
    return dict(found)


def hours_measured() -> list[Hours]:
    """Jobs of packages that somebody measured, by package. A figure copied from the estimate teaches nothing. Four
    queries."""
    jobs = Job.objects.filter(
        state=Job.State.DONE, worked_min__gt=0, hours_as_planned=False, left_min=None, order__package__isnull=False
    )
    pairs: dict[tuple[int, str], tuple[list[float], list[float]]] = defaultdict(lambda: ([], []))
    for job in jobs.select_related("order").prefetch_related("ways").order_by("id"):
        way = next(iter(job.ways.all()), None)
        if way is not None and job.worked_min is not None and job.order.package_id is not None:
            estimated, worked = pairs[job.order.package_id, job.key]
            estimated.append(float(way.duration_min))
            worked.append(float(job.worked_min))
    ways = PackageWay.objects.filter(sequence=0).select_related("job__package", "job__kind")
    rows = ways.order_by("job__package__name", "job__sequence", "id")
    return [hours_of(way, *pairs[key]) for way in rows if (key := (way.job.package_id, way.job.key)) in pairs]


def hours_of(way: PackageWay, estimated: list[float], worked: list[float]) -> Hours:
    """What measured jobs say of one estimate: the middle of the lognormal, the prior weighing as four jobs."""
    found: Scatter = learn(prior(_log_sd(way.job.kind)), estimated, worked)
    ratio = math.exp(found.m)
    count = len(worked)
    mean_estimate, mean_worked = sum(estimated) / count, sum(worked) / count
    wanted = max(QUARTER_MIN, round(way.duration_min * ratio / QUARTER_MIN) * QUARTER_MIN)
    fixed = bool(way.parts or way.job.kind.parts)
    differs = wanted != way.duration_min and abs(ratio - 1) >= LEAST_DIFFERENCE
    suggests = count >= LEAST_JOBS and differs and not fixed
    return Hours(way, count, mean_estimate, mean_worked, ratio, wanted if suggests else None)


def _log_sd(kind: JobKind) -> float:
    bench = kind.trade in (Trade.RIG, Trade.LOFT) or kind.pausing != Pausing.FITTED
    return BENCH_AND_RIG if bench else ROUTINE
