"""The season board."""

from __future__ import annotations

from collections import Counter

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from yard.queries.plans import posted_plan
from yard.queries.season_board import STATES, board_rows
from yard.web.access import require


@require("view_plan")
def season(request: HttpRequest) -> HttpResponse:
    plan = posted_plan()
    rows = board_rows(plan) if plan else []
    counts = Counter(row.state for row in rows)
    groups = [(state, [row for row in rows if row.state == state]) for state in STATES]
    kept = sum(1 for row in rows if row.days_in_hand is not None and row.days_in_hand >= 0)
    return render(
        request,
        "season/page.html",
        {
            "plan": plan,
            "groups": [(state, found) for state, found in groups if found],
            "counts": [(state, counts[state]) for state in STATES],
            "kept": kept,
            "dated": sum(1 for row in rows if row.due),
        },
    )
