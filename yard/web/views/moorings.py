"""Moorings: the list, one mooring with the parts of its tackle, and what is known of them."""

from __future__ import annotations

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.vary import vary_on_headers

from yard.models import Mooring
from yard.queries.moorings import moorings_on_file
from yard.web.access import found, require
from yard.web.boats.sheet import as_csv
from yard.web.filters.keeping import MooringFilter
from yard.web.keeping.desk import add_page, archive_page, change_page, today_of
from yard.web.keeping.mooring import MOORING_DESK, TACKLE_DESK, mooring_page
from yard.web.request import YardRequest
from yard.web.tables.chosen import choose_columns
from yard.web.tables.moorings import MooringTable
from yard.web.tables.yard_table import of_request


@require("view_plan")
@vary_on_headers("HX-Request")
def moorings(request: YardRequest) -> HttpResponse:
    """Every mooring on file, searched, narrowed and sorted; `?as=csv` gives the same rows as a sheet."""
    gone, today = request.GET.get("archived") == "yes", today_of(request)
    chosen = MooringFilter(request.GET, moorings_on_file(archived=gone), today=today)
    table = MooringTable(chosen.qs, yard=request.yard, today=today)
    columns = choose_columns(request, table)
    if request.GET.get("as") == "csv":
        return as_csv(of_request(request, table), "moorings.csv")
    context = {"table": of_request(request, table), "filter": chosen, "columns": columns, "gone": gone}
    return render(request, "keeping/moorings.html", context)


@require("view_plan")
def mooring(request: YardRequest, pk: int) -> HttpResponse:
    row = found(Mooring.objects.select_related("permit_boat"), pk=pk)
    today = today_of(request)
    context = {"mooring": row, "page": mooring_page(row, request.yard, today), "today": today}
    return render(request, "keeping/mooring.html", context)


@require("edit_facts", post="edit_facts")
def mooring_new(request: YardRequest) -> HttpResponseBase:
    return add_page(request, MOORING_DESK)


@require("edit_facts", post="edit_facts")
def mooring_change(request: YardRequest, pk: int) -> HttpResponseBase:
    return change_page(request, MOORING_DESK, pk)


@require(post="edit_facts")
def mooring_archive(request: YardRequest, pk: int) -> HttpResponseBase:
    return archive_page(request, MOORING_DESK, pk)


@require("edit_facts", post="edit_facts")
def tackle_new(request: YardRequest, pk: int) -> HttpResponseBase:
    """A part of its tackle."""
    return add_page(request, TACKLE_DESK, mooring=found(Mooring.objects.all(), pk=pk))


@require("edit_facts", post="edit_facts")
def tackle_change(request: YardRequest, pk: int) -> HttpResponseBase:
    return change_page(request, TACKLE_DESK, pk)
