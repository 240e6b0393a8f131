"""The cost of a plan, as `yard.planning.plan.score` counts it, as small as it may be."""

from __future__ import annotations

from ortools.sat.python import cp_model

from yard.planning.cpsat.season import Expr, JobVars, Season
from yard.planning.problem import QUARTER_MIN, Order


def post(season: Season) -> None:
    rates = season.problem.rates
    cost: list[Expr] = []
    rows: dict[int, list[JobVars]] = {}
    for row in season.jobs:
        rows.setdefault(row.job.order, []).append(row)
    for index, jobs in sorted(rows.items()):
        order = season.problem.orders[index]
        last = _last_day(season, index, jobs)
        late = rates.late_day * order.goes_first
        if late and season.axis.days - 1 > order.due_day:
            days_late = season.model.new_int_var(0, season.axis.days - 1 - min(order.due_day, 0), f"days late {index}")
            season.model.add(days_late >= last - order.due_day)
            cost.append(late * days_late)
        if rates.flow_day:
            cost.append(rates.flow_day * (last - _first_day(season, index, order, jobs)))
    for present in season.boat_present.values():
        cost.append(left_out_price(season) * (1 - present))
    whole = cp_model.LinearExpr.sum(cost) if cost else 0
    if season.cutoff is not None and cost:
        season.model.add(whole <= season.cutoff.cost)
    season.model.minimize(whole)


def left_out_price(season: Season) -> int:
    """More than any plan can cost: placing one more boat comes before all else."""
    rates, days = season.problem.rates, season.axis.days
    return 1 + sum(
        rates.late_day * order.goes_first * max(0, days - order.due_day)
        + rates.flow_day * (days - min(0, order.began_day or 0))
        for order in season.problem.orders
    )


def _last_day(season: Season, index: int, jobs: list[JobVars]) -> cp_model.IntVar:
    """At least the day of each job's last quarter; a job of a boat left out counts as done on the last day."""
    per_day, model = season.axis.per_day, season.model
    last = model.new_int_var(0, season.axis.days - 1, f"last day of order {index}")
    for row in jobs:
        season.when(model.add(per_day * (last + 1) >= row.end), row.present)
        if not isinstance(row.present, bool):
            season.when(model.add(last >= season.axis.days - 1), ~row.present)
    return last


def _first_day(season: Season, index: int, order: Order, jobs: list[JobVars]) -> cp_model.IntVar:
    """At most the day of each job's start, and the day on which work began."""
    per_day, model = season.axis.per_day, season.model
    lowest = min(0, 0 if order.began_day is None else order.began_day)
    first = model.new_int_var(lowest, season.axis.days - 1, f"first day of order {index}")
    for row in jobs:
        season.when(model.add(per_day * first <= row.start), row.present)
    if order.began_day is not None:
        model.add(first <= order.began_day)
    absent = [~row.present for row in jobs if not isinstance(row.present, bool)]
    if len(absent) == len(jobs):
        season.when(model.add(first <= _release_day(season, jobs)), *absent)
    return first


def _release_day(season: Season, jobs: list[JobVars]) -> int:
    """The first day on which a job of an order that is left out could have begun."""
    releases = [0 if row.job.not_before is None else row.job.not_before for row in jobs]
    if any(row.job.not_before is None for row in jobs):
        return 0
    length = QUARTER_MIN * season.axis.per_day
    days = (day for day, start in enumerate(season.axis.day_starts) if start + length > min(releases))
    return next(days, season.axis.days - 1)
