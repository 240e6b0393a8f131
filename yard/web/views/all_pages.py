"""The page of all pages."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from yard.web.access import require
from yard.web.all_pages import all_pages
from yard.web.request import YardRequest


@require("view_plan")
def more(request: YardRequest) -> HttpResponse:
    """Where a phone's last tab leads."""
    now = request.yard_now
    return render(request, "more.html", {"groups": all_pages(request.user, now=now)})
