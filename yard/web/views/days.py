"""The jobs of one day."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.vary import vary_on_cookie

from yard.queries.plans import planned_jobs_between, posted_plan
from yard.web.access import require


@require("view_plan")
def day_today(request: HttpRequest) -> HttpResponse:
    today = timezone.localtime(request.yard_now).date()  # type: ignore[attr-defined]
    return redirect("day", day=today.isoformat())


@require("view_plan")
@vary_on_cookie
def day(request: HttpRequest, day: str) -> HttpResponse:
    """One day of the posted plan: its jobs in order of time."""
    try:
        shown = datetime.fromisoformat(day).date()
    except ValueError as error:
        raise Http404("no such day") from error
    starts = timezone.make_aware(datetime.combine(shown, time()))
    ends = timezone.make_aware(datetime.combine(shown + timedelta(days=1), time()))
    plan = posted_plan()
    jobs = list(planned_jobs_between(plan, starts, ends)) if plan else []
    return render(
        request,
        "days/day.html",
        {
            "plan": plan,
            "day": shown,
            "jobs": jobs,
            "before": (shown - timedelta(days=1)).isoformat(),
            "after": (shown + timedelta(days=1)).isoformat(),
        },
    )
