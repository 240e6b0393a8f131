"""The launch list."""

from __future__ import annotations

from datetime import timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.vary import vary_on_cookie

from yard.queries.plans import posted_plan
from yard.tides.source import TideError
from yard.web.access import require
from yard.web.days.dates import day_in_address
from yard.web.days.launch_list import DAYS_SHOWN, launch_list
from yard.web.days.reading import read_yardful
from yard.web.days.water import NoTide, tide_of
from yard.web.units import local


@require("view_plan")
@vary_on_cookie
def launches(request: HttpRequest, day: str = "") -> HttpResponse:
    """Two weeks of tides from a day, today unless said, and the posted plan's launches on them."""
    now, yard = request.yard_now, request.yard  # type: ignore[attr-defined]
    first = day_in_address(day) if day else local(now).date()
    plan, source = posted_plan(), tide_of(yard)
    shown = None
    if not isinstance(source, NoTide):
        try:
            shown = launch_list(read_yardful(yard, source, plan, first), first, now=now)
        except TideError as error:
            source = NoTide(f"The tides of these weeks are not known: {error}")
    context = {
        "plan": plan,
        "first": first,
        "last": first + timedelta(days=DAYS_SHOWN - 1),
        "earlier": first - timedelta(days=DAYS_SHOWN),
        "later": first + timedelta(days=DAYS_SHOWN),
        "shown": shown,
        "launches": shown.picture if shown else None,
        "source": source,
    }
    return render(request, "launches/list.html", context)
