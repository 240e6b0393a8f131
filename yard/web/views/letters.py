"""Letters: who is to be told what today."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.vary import vary_on_cookie

from yard.queries.letters_due import letters_due
from yard.queries.plans import posted_plan
from yard.web.access import require
from yard.web.request import YardRequest


@require("see_owners")
@vary_on_cookie
def letters(request: YardRequest) -> HttpResponse:
    """The morning list."""
    now, plan = request.yard_now, posted_plan()
    rows = letters_due(plan, request.yard, now=now)
    return render(request, "letters/list.html", {"plan": plan, "rows": rows})
