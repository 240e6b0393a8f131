"""From rows to what the launch list and the day sheet are made of."""

from __future__ import annotations

from datetime import date, datetime

from yard.models import Plan, WaterNeed, YardSettings
from yard.queries.days import day_rows
from yard.queries.forecasts import latest_forecast
from yard.queries.launches import (
    berths_between,
    last_floated,
    ramp_jobs_between,
    ramp_jobs_done_between,
    shut_and_open,
)
from yard.tides.source import TideSource
from yard.web.days.day_sheet import Told
from yard.web.days.gauge import gauge_now
from yard.web.days.ramp_tides import DAYS_READ, Yardful
from yard.web.days.ramp_work import done_work, planned_work
from yard.web.days.water import tide_of
from yard.web.units import at_minute


def read_yardful(yard: YardSettings, source: TideSource, plan: Plan | None, first: date, *, now: datetime) -> Yardful:
    """Everything from `first` on, for as long as the list looks ahead. Twenty queries at most, whatever the boats."""
    starts_at, ends_at = at_minute(first, 0), at_minute(first, DAYS_READ * 1440)
    planned = list(ramp_jobs_between(plan, starts_at, ends_at)) if plan is not None else []
    in_plan = {row.job_id for row in planned}
    done = [job for job in ramp_jobs_done_between(starts_at, ends_at) if job.pk not in in_plan]
    orders = [row.job.order for row in planned] + [job.order for job in done]
    floated = last_floated(order.boat_id for order in orders if order.boat_id is not None)
    berths = berths_between(plan, starts_at, ends_at)
    stays = {stay.stay.from_job_id: stay for stay in berths.stays}
    work = [planned_work(row, yard, floated, stays.get(row.job_id)) for row in planned]
    work += [done_work(job, yard, floated) for job in done]
    gauge = gauge_now(source, yard, now=now) if starts_at <= now < ends_at else None
    return Yardful(yard, source, tuple(work), berths, shut_and_open(starts_at, ends_at), gauge)


def read_day(yard: YardSettings, plan: Plan | None, day: date, *, now: datetime) -> Told:
    """One day of the plan. Twelve queries at most, and one more for the gauge today, however many jobs and people."""
    rows = day_rows(plan, at_minute(day, 0), at_minute(day, 1440), day.weekday())
    afloat = {row.job.order.boat_id for row in rows.jobs if row.job.water_need != WaterNeed.NONE}
    floated = last_floated(boat for boat in afloat if boat is not None)
    tides = {where: tide_of(yard, where) for where in ("ramp", "field")}
    return Told(yard, day, now, rows, tides, floated, plan, latest_forecast())
