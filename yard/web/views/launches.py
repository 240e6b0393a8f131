"""The launch list."""

from __future__ import annotations

from datetime import timedelta

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.vary import vary_on_cookie

from yard.queries.launches import last_floated
from yard.queries.plans import posted_plan
from yard.queries.ramp_candidates import waiting_to_launch
from yard.tides.source import TideError
from yard.web.access import require
from yard.web.context import said_of_plan
from yard.web.days.dates import day_in_address
from yard.web.days.launch_list import DAYS_SHOWN, launch_list
from yard.web.days.reading import read_yardful
from yard.web.days.tide_boats import find_tide, tide_boats
from yard.web.days.water import NoTide, tide_of
from yard.web.request import YardRequest
from yard.web.units import local


@require("view_plan")
@vary_on_cookie
def launches(request: YardRequest, day: str = "") -> HttpResponse:
    """Two weeks of tides from a day, today unless said, and the posted plan's launches on them."""
    now, yard = request.yard_now, request.yard
    first = day_in_address(day) if day else local(now).date()
    plan, source = posted_plan(), tide_of(yard)
    shown = None
    if not isinstance(source, NoTide):
        try:
            shown = launch_list(read_yardful(yard, source, plan, first, now=now), first, now=now)
        except TideError as error:
            source = NoTide(_("The tides of these weeks are not known: {error}").format(error=error))
    context = {
        "plan": plan,
        "first": first,
        "last": first + timedelta(days=DAYS_SHOWN - 1),
        "earlier": first - timedelta(days=DAYS_SHOWN),
        "later": first + timedelta(days=DAYS_SHOWN),
        "shown": shown,
        "launches": shown.picture if shown else None,
        "source": source,
        **said_of_plan(plan, now),
    }
    return render(request, "launches/list.html", context)


@require("view_plan")
@vary_on_cookie
def tide_boats_page(request: YardRequest, day: str, high_min: int) -> HttpResponse:
    """Who could go on a free tide. It says what would have to move and changes nothing."""
    shown, yard, plan = day_in_address(day), request.yard, posted_plan()
    now = request.yard_now
    source = tide_of(yard)
    if isinstance(source, NoTide):
        raise Http404(source.reason)
    try:
        yardful = read_yardful(yard, source, plan, shown, now=now)
        tide = find_tide(yardful, shown, high_min)
    except TideError as error:
        raise Http404("no tide on that day is known") from error
    if tide is None:
        raise Http404("no such tide")
    waiting = waiting_to_launch(plan)
    floated = last_floated(job.order.boat_id for job in waiting.jobs if job.order.boat_id is not None)
    read = tide_boats(yardful, tide, waiting, floated)
    return render(request, "launches/tide_boats.html", {"plan": plan, "day": shown, "read": read})
