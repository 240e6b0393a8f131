"""Lists of places and of things, searched, narrowed, sorted, paged, with chosen columns, and as sheets."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.vary import vary_on_cookie

from yard.queries.places import places_listed
from yard.queries.things import things_listed
from yard.web.access import may, require
from yard.web.boats.sheet import as_csv
from yard.web.filters.places import PlaceFilter
from yard.web.filters.things import ThingFilter
from yard.web.lists.tools import list_tools
from yard.web.request import YardRequest
from yard.web.tables.places import PlaceTable
from yard.web.tables.things import ThingTable, thing_rows
from yard.web.tables.yard_table import of_request
from yard.web.units import local


@require("view_plan")
@vary_on_cookie
def places(request: YardRequest) -> HttpResponse:
    """Every place; `?as=csv` gives the same rows as a sheet."""
    chosen = PlaceFilter(request.GET, places_listed(request.yard_now))
    table = PlaceTable(chosen.qs, yard=request.yard, editable=may(request.user, "edit_facts"))
    if request.GET.get("as") == "csv":
        return as_csv(of_request(request, table), "places.csv")
    context = {"table": of_request(request, table), "filter": chosen, "tools": list_tools(request, "places", table)}
    return render(request, "keeping/places.html", context)


@require("view_plan")
@vary_on_cookie
def things(request: YardRequest) -> HttpResponse:
    """Every sail, cover, mast, key; `?as=csv` gives the same rows as a sheet."""
    chosen = ThingFilter(request.GET, things_listed(), year=local(request.yard_now).year)
    table = ThingTable(thing_rows(chosen.qs), yard=request.yard)
    if request.GET.get("as") == "csv":
        return as_csv(of_request(request, table), "things.csv")
    context = {"table": of_request(request, table), "filter": chosen, "tools": list_tools(request, "things", table)}
    return render(request, "keeping/things.html", context)
