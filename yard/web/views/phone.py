"""The crew's phone page, what is tapped on it, and the worker that keeps it readable without signal."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from uuid import uuid4

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache

from yard.models import Event, Person
from yard.queries.phone import next_job, person_of
from yard.queries.plans import posted_plan
from yard.services.happenings import EventRefused
from yard.services.sail_care import ask_for_a_line
from yard.services.taps import receive
from yard.web.access import found, require
from yard.web.days.dates import day_in_address
from yard.web.days.reading import read_day
from yard.web.phone.day import phone_day
from yard.web.phone.taps import LEFT, REASONS, TapNotRead, read_tap
from yard.web.request import YardRequest, who
from yard.web.units import at_minute, local

WORKER = Path(__file__).resolve().parents[2] / "static" / "yard" / "phone_worker.js"


@require("view_plan")
@never_cache
def phone(request: YardRequest) -> HttpResponse:
    """A day of one of the crew (?person=, else whoever is signed in) or of the yard (?all=1)."""
    now, plan = request.yard_now, posted_plan()
    day = _day(request, local(now).date())
    person = None if request.GET.get("all") else _person(request)
    told = read_day(request.yard, plan, day, now=now)
    later = next_job(plan, person, at_minute(day, 1440)) if plan is not None else None
    context = {
        "plan": plan,
        "person": person,
        "read": phone_day(told, person, later),
        "today": local(now).date(),
        "reasons": REASONS,
        "left": LEFT,
        "fresh_key": uuid4,
    }
    return render(request, "phone/day.html", context)


def _day(request: YardRequest, today: date) -> date:
    return day_in_address(request.GET["day"]) if request.GET.get("day") else today


def _person(request: YardRequest) -> Person | None:
    asked = request.GET.get("person", "")
    return found(Person.objects.filter(archived=False), pk=asked) if asked else person_of(request.user)


@require(post="report_work")
def phone_tap(request: YardRequest) -> HttpResponseBase:
    """Take one tap. A phone's script is answered in JSON, a plain form by the page it came from."""
    plan = posted_plan()
    try:
        tap = receive(read_tap(request.POST, now=request.yard_now), by=who(request), now=request.yard_now)
        if tap.event is not None and tap.event.kind == Event.Kind.DAMP:
            ask_for_a_line([tap.event], by=who(request), real_now=timezone.now())
        said, refused = tap.answer, tap.refused
    except (TapNotRead, EventRefused) as error:
        said, refused = str(error), True
    if request.accepts("text/html"):
        (messages.error if refused else messages.success)(request, said)
        return redirect(_back(request))
    return JsonResponse({"refused": refused, "says": said, "plan": plan.number if plan else None})


def _back(request: YardRequest) -> str:
    back = request.POST.get("back", "")
    safe = url_has_allowed_host_and_scheme(back, {request.get_host()}, require_https=request.is_secure())
    # A path alone: what has no stroke before it would be taken for the name of a page.
    return back if safe and back.startswith("/") else "/today/"


@require("view_plan", yard=False)
def phone_worker(request: YardRequest) -> HttpResponse:
    """The script that answers for the page where there is no signal: it must come from the page's own address."""
    return HttpResponse(WORKER.read_bytes(), content_type="text/javascript")
