"""Moorings: the list, one mooring with the parts of its tackle, and what is known of them."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.vary import vary_on_headers

from yard.models import Mooring
from yard.queries.moorings import moorings_on_file
from yard.web.access import found, require
from yard.web.boats.sheet import as_csv
from yard.web.filters.keeping import MooringFilter
from yard.web.keeping.desk import today_of
from yard.web.keeping.mooring import MOORING_DESK, TACKLE_DESK, mooring_page
from yard.web.keeping.row_views import adds, adds_to, changes, puts_away
from yard.web.lists.tools import list_tools
from yard.web.request import YardRequest
from yard.web.tables.moorings import MooringTable
from yard.web.tables.yard_table import of_request


@require("view_plan")
@vary_on_headers("HX-Request")
def moorings(request: YardRequest) -> HttpResponse:
    """Every mooring on file, searched, narrowed and sorted; `?as=csv` gives the same rows as a sheet."""
    today = today_of(request)
    chosen = MooringFilter(request.GET, moorings_on_file(), today=today)
    table = of_request(request, MooringTable(chosen.qs, yard=request.yard, today=today))
    if request.GET.get("as") == "csv":
        return as_csv(table, "moorings.csv")
    context = {"table": table, "filter": chosen, "tools": list_tools(request, "moorings", table)}
    return render(request, "keeping/moorings.html", context)


@require("view_plan")
def mooring(request: YardRequest, pk: int) -> HttpResponse:
    row = found(Mooring.objects.select_related("permit_boat"), pk=pk)
    today = today_of(request)
    context = {"mooring": row, "page": mooring_page(row, request.yard, today), "today": today}
    return render(request, "keeping/mooring.html", context)


mooring_new = adds(MOORING_DESK)
mooring_change = changes(MOORING_DESK)
mooring_archive = puts_away(MOORING_DESK)
tackle_new = adds_to(Mooring.objects.all(), "mooring", TACKLE_DESK)
tackle_change = changes(TACKLE_DESK)
