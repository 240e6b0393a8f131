"""The season board."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from yard.queries.plans import posted_plan
from yard.queries.season_board import boat_rows
from yard.services.suggest_closures import suggested_closures
from yard.web.access import may, require
from yard.web.request import YardRequest, asks_for_part
from yard.web.season.asked import read_asked
from yard.web.season.board import season_board
from yard.web.season.figures import load_rows, mondays, tallies
from yard.web.season.opened import opened_row
from yard.web.season.run_notes import run_notes
from yard.web.season.tabled import tabled
from yard.web.units import local


@require("view_plan")
def season(request: YardRequest) -> HttpResponse:
    """The board or its table, as the address asks."""
    return _page(request)


@require("view_plan")
def season_why(request: YardRequest, key: str) -> HttpResponse:
    """One row opened: the part alone for htmx, else the board with the row open."""
    plan, now = posted_plan(), request.yard_now
    row = next((row for row in boat_rows(plan) if row.key == key), None)
    if row is None:
        raise Http404("no such boat on the board")
    opened = opened_row(plan, row, now=now)
    if asks_for_part(request):
        return render(request, "season/_why.html", {"opened": opened})
    return render(request, "season/page.html", page(request, opened=opened))


@require("view_plan")
def season_run(request: YardRequest) -> HttpResponse:
    """The counter of a run going on, asked for every two seconds; alone it is the season's page."""
    notes = run_notes(posted_plan(), now=timezone.now())
    if asks_for_part(request):
        return render(request, "season/_run.html", {"notes": notes, "watched": True})
    return _page(request)


def _page(request: YardRequest) -> HttpResponse:
    return render(request, "season/page.html", page(request))


def page(request: YardRequest, *, opened: Any = None) -> dict[str, Any]:
    yard, now, plan = request.yard, request.yard_now, posted_plan()
    asked = read_asked(request.GET, local(now).date())
    board, _ = season_board(yard, plan, asked, now=now, opened=opened.key if opened else "")
    return {
        "asked": asked,
        "board": board.picture,
        "told": board,
        "tallies": tallies(board, asked),
        "weeks": mondays(board),
        "load_rows": load_rows(board),
        "plan": plan,
        "opened": opened,
        "notes": run_notes(plan, now=timezone.now()),
        "suggested": suggested_closures(now) if plan and may(request.user, "plan") else [],
        "tabled": tabled(request, plan, asked) if plan and asked.view == "table" else None,
    }
