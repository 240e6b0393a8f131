"""History: one boat's, and what changed in the yard since yesterday."""

from __future__ import annotations

from datetime import timedelta

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone

from yard.models import Boat
from yard.web.access import found, may, require
from yard.web.changed.page import boat_lines, changed_since
from yard.web.days.dates import day_in_address
from yard.web.request import YardRequest
from yard.web.units import local


@require("view_plan")
def changed(request: YardRequest) -> HttpResponse:
    """Since the evening of ?since=, a day; yesterday's where none is given."""
    today = local(request.yard_now).date()
    asked = request.GET.get("since", "")
    day = day_in_address(asked) if asked else today - timedelta(days=1)
    zone, told = timezone.get_current_timezone(), may(request.user, "see_owners")
    page = changed_since(day, now=request.yard_now, zone=zone, with_told=told)
    context = {"page": page, "before": day - timedelta(days=1), "yesterday": today - timedelta(days=1)}
    return render(request, "changed/since.html", context)


@require("view_plan")
def boat_past(request: YardRequest, pk: int) -> HttpResponse:
    """What was planned for her, moved, why and by whom, and what her owner was told."""
    boat = found(Boat.objects.all(), pk=pk)
    lines = boat_lines(boat, with_told=may(request.user, "see_owners"))
    return render(request, "changed/boat.html", {"boat": boat, "lines": lines})
