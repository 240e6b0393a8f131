"""People: the crew, one person, and who is free."""

from __future__ import annotations

from datetime import timedelta

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.vary import vary_on_cookie

from yard.queries.crew import crew_rows, people_who_left, people_with_hours
from yard.queries.plans import posted_plan
from yard.queries.runs import runs_between
from yard.web.access import found, require
from yard.web.boats.sheet import as_csv
from yard.web.crew.crew_list import CrewTable, crew_list, read_crew
from yard.web.crew.free import DAYS_AHEAD, who_is_free
from yard.web.crew.person import person_page, read_person
from yard.web.days.dates import day_in_address
from yard.web.filters.people import PeopleFilter
from yard.web.lists.tools import list_tools
from yard.web.request import YardRequest
from yard.web.tables.yard_table import of_request
from yard.web.units import at_minute, local


@require("view_plan")
@vary_on_cookie
def crew(request: YardRequest) -> HttpResponse:
    """Everybody who works in the yard."""
    now, plan = request.yard_now, posted_plan()
    everybody = crew_list(read_crew(plan, now=now), now=now)
    chosen = PeopleFilter(request.GET, everybody)
    table = of_request(request, CrewTable(chosen.rows))
    if request.GET.get("as") == "csv":
        return as_csv(table, "people.csv")
    context = {"table": table, "plan": plan, "rows": chosen.rows, "everybody": everybody, "filter": chosen}
    context |= {"left": people_who_left(), "today": local(now).date(), "tools": list_tools(request, "people", table)}
    return render(request, "crew/list.html", context)


@require("view_plan")
@vary_on_cookie
def person(request: YardRequest, pk: int) -> HttpResponse:
    """One person's work, hours and load."""
    now, plan = request.yard_now, posted_plan()
    who = found(people_with_hours(left_too=True), pk=pk)
    told = read_person(who, plan, request.yard, now=now)
    return render(request, "crew/person.html", {"plan": plan, "read": person_page(told), "today": told.today})


@require("view_plan")
@vary_on_cookie
def day_free(request: YardRequest, day: str) -> HttpResponse:
    """Who is free on a day and in the days after it."""
    now, plan, first = request.yard_now, posted_plan(), day_in_address(day)
    span = (at_minute(first, 0), at_minute(first + timedelta(days=DAYS_AHEAD), 0))
    told = crew_rows(plan, *span)
    context = {
        "plan": plan,
        "day": first,
        "free": who_is_free(told, first, now=now, runs=list(runs_between(*span))),
        "before": first - timedelta(days=1),
        "after": first + timedelta(days=1),
    }
    return render(request, "crew/free.html", context)
