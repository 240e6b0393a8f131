"""One field for anything on file."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache

from yard.web.access import require
from yard.web.find.results import results_for
from yard.web.request import YardRequest, asks_for_part


@require("view_plan")
@never_cache
def find(request: YardRequest) -> HttpResponse:
    """What was found; while somebody types, its list alone."""
    results = results_for(request.GET.get("q", ""), request.user)
    template = "find/_results.html" if asks_for_part(request) else "find/page.html"
    return render(request, template, {"results": results})
