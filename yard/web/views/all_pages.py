"""The page of all pages."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from yard.web.access import require
from yard.web.all_pages import all_pages


@require("view_plan")
def more(request: HttpRequest) -> HttpResponse:
    """Where a phone's last tab leads."""
    now = request.yard_now  # type: ignore[attr-defined]
    return render(request, "more.html", {"groups": all_pages(request.user, now=now)})
