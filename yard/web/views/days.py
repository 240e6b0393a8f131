"""The jobs of one day: the day sheet."""

from __future__ import annotations

from datetime import timedelta

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.vary import vary_on_cookie

from yard.queries.plans import posted_plan
from yard.services.rain_work import instead_on
from yard.web.access import require
from yard.web.days.dates import day_in_address
from yard.web.days.day_sheet import day_sheet
from yard.web.days.reading import read_day
from yard.web.request import YardRequest
from yard.web.units import local


@require("view_plan")
def day_today(request: YardRequest) -> HttpResponse:
    return redirect("day", day=local(request.yard_now).date().isoformat())


@require("view_plan")
@vary_on_cookie
def day(request: YardRequest, day: str) -> HttpResponse:
    """One day of the posted plan: the picture, and the same jobs as a numbered table."""
    shown, plan = day_in_address(day), posted_plan()
    told = read_day(request.yard, plan, shown, now=request.yard_now)
    context = {
        "plan": plan,
        "day": shown,
        "read": day_sheet(told),
        "before": shown - timedelta(days=1),
        "after": shown + timedelta(days=1),
    }
    return render(request, "days/day.html", context)


@require("view_plan")
@vary_on_cookie
def day_instead(request: YardRequest, day: str) -> HttpResponse:
    """It blows: who loses outdoor work on that day, and what they could do indoors. It changes nothing."""
    shown, plan = day_in_address(day), posted_plan()
    told = instead_on(shown, now=request.yard_now)
    problem = told if isinstance(told, str) else ""
    context = {"plan": plan, "day": shown, "told": None if problem else told, "problem": problem}
    return render(request, "days/instead.html", context)
