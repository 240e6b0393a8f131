"""The table view of the board: every job of the plan, a page at a time."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest

from yard.models import Plan
from yard.queries.season_board import boat_rows, planned_jobs_listed
from yard.web.filters.season import JobFilter
from yard.web.season.asked import Asked
from yard.web.tables.season import JobTable
from yard.web.tables.yard_table import of_request


@dataclass(frozen=True)
class Tabled:
    table: JobTable
    filter: JobFilter


def tabled(request: HttpRequest, plan: Plan, asked: Asked) -> Tabled:
    """The plan's jobs narrowed to letters, trade, and the state of the boat."""
    rows = planned_jobs_listed(plan)
    if asked.state:
        boats = [row for row in boat_rows(plan) if row.state == asked.state]
        rows = rows.filter(job__order__in=[pk for row in boats for pk in row.order_ids])
    narrowed = JobFilter(request.GET, rows)
    return Tabled(of_request(request, JobTable(narrowed.qs)), narrowed)
