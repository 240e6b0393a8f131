"""Seasons: the list, one season's end shown and asked for, how far it is, taken back, opened again, and compared."""

from __future__ import annotations

from uuid import uuid4

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from yard.models import Season, YearEnd
from yard.queries.seasons import seasons_by_start
from yard.services.year_end import YearEndRefused, ask_for_end, go_on, open_again, preview_of, take_back_end
from yard.web.access import found, require
from yard.web.doing import do_or_say_why
from yard.web.keeping.desk import seen_version, today_of
from yard.web.keeping.row_views import adds, changes
from yard.web.request import YardRequest, asks_for_part, form_key_in, who
from yard.web.seasons.compare import compare_page
from yard.web.seasons.form import SEASON_DESK
from yard.web.seasons.page import all_ticked, choices_in, end_page, run_page, season_rows

ENDS = YearEnd.objects.select_related("season", "into", "again_into", "asked_by", "taken_back_by")
COMPARED_AT_FIRST = 4

season_new = adds(SEASON_DESK, "close_season")
season_kept_change = changes(SEASON_DESK, "close_season")


@require("view_plan")
def seasons(request: YardRequest) -> HttpResponse:
    return render(request, "seasons/list.html", {"rows": season_rows(today=today_of(request))})


@require("close_season", post="close_season")
def season_end(request: YardRequest, pk: int) -> HttpResponse:
    """What ending it would do, with a tick for each thing; a POST asks the worker to do it."""
    season, today = found(Season.objects.all(), pk=pk), today_of(request)
    preview = preview_of(season, today=today)
    if request.method != "POST":
        page = end_page(preview, all_ticked(preview), today=today)
        return render(request, "seasons/end.html", {"page": page, "season": season})
    choices, key = choices_in(request.POST), request.POST.get("form_key", "")
    try:
        form_key = form_key_in(key) or uuid4()
        clocks = {"now": request.yard_now, "real_now": timezone.now()}
        row = ask_for_end(season, choices, form_key=form_key, by=who(request), **clocks)
        return redirect("year_end", pk=row.pk)
    except YearEndRefused as refused:
        page = end_page(preview, choices, today=today, key=key)
        return render(request, "seasons/end.html", {"page": page, "season": season, "refused": refused}, status=422)


@require("view_plan")
def year_end(request: YardRequest, pk: int) -> HttpResponse:
    """How far it is, and what was carried. While it goes on, its part asks for itself."""
    page = run_page(found(ENDS, pk=pk), real_now=timezone.now())
    template = "seasons/_run.html" if asks_for_part(request) else "seasons/run.html"
    return render(request, template, {"page": page, "row": page.row})


@require(post="close_season")
def year_end_go_on(request: YardRequest, pk: int) -> HttpResponse:
    row = found(ENDS, pk=pk)

    def act() -> str:
        go_on(row, real_now=timezone.now())
        return _("It goes on where it stopped.")

    do_or_say_why(request, act, YearEndRefused)
    return redirect("year_end", pk=pk)


@require(post="close_season")
def year_end_back(request: YardRequest, pk: int) -> HttpResponse:
    row = found(ENDS, pk=pk)

    def act() -> str:
        why = request.POST.get("why", "")
        stays = take_back_end(row, why=why, by=who(request), now=request.yard_now, real_now=timezone.now())
        return " ".join((_("{season} is open, and what was carried over is back.").format(season=row.season), *stays))

    do_or_say_why(request, act, YearEndRefused)
    return redirect("year_end", pk=pk)


@require(post="close_season")
def season_open(request: YardRequest, pk: int) -> HttpResponse:
    """Open a closed season again, with a reason."""
    season = found(Season.objects.all(), pk=pk)

    def act() -> str:
        why, seen = request.POST.get("why", ""), seen_version(request)
        row = open_again(season, why=why, seen_version=seen, by=who(request), now=request.yard_now)
        return _("{row} is open again: its rows can be changed. End it again when that is done.").format(row=row)

    do_or_say_why(request, act, YearEndRefused)
    return redirect("seasons")


@require("view_plan")
def seasons_compared(request: YardRequest) -> HttpResponse:
    """?season= for each one to compare; at first the latest that have begun."""
    rows, today = seasons_by_start(), today_of(request)
    asked = set(request.GET.getlist("season"))
    chosen = [row for row in rows if str(row.pk) in asked]
    if asked and not chosen:
        messages.error(request, _("None of these seasons is on file: the latest are shown."))
    chosen = chosen or [row for row in rows if row.starts_on <= today][:COMPARED_AT_FIRST]
    page = compare_page(chosen, request.yard)
    return render(request, "seasons/compare.html", {"page": page, "rows": rows, "chosen": {row.pk for row in chosen}})
