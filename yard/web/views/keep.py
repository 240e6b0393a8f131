"""Boats, people, skills, places and the things of boats: added, changed, put away and brought back."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from yard.models import DatedHours, Item, Person, Place, Skill
from yard.queries.crew import skills_with_holders
from yard.services import keeping
from yard.services.happenings import EventRefused
from yard.services.keep_person import SKILL
from yard.services.keeping import Kept, Refused, SomebodyWasQuicker
from yard.services.sail_care import say_of_thing
from yard.services.say_hours import Clocks, WrittenDown, drop_hours, say_hours
from yard.services.whereabouts import WhereRefused
from yard.web.access import found, require
from yard.web.boats.where import seen_in, thing_lies_in
from yard.web.keeping.absences import AwayForm, ShutForm
from yard.web.keeping.boat import BOAT_DESK
from yard.web.keeping.desk import add_page, say, seen_version, writer_of
from yard.web.keeping.person import PERSON_DESK
from yard.web.keeping.place import PLACE_DESK
from yard.web.keeping.row_views import adds, changes, puts_away
from yard.web.keeping.thing import THING_DESK
from yard.web.keeping.thing_where import thing_where
from yard.web.request import YardRequest, form_key_in, number_in, who
from yard.web.sails.care import sail_care


def _clocks(request: YardRequest) -> Clocks:
    return Clocks(request.yard_now, timezone.now())


boat_new = adds(BOAT_DESK)
boat_change = changes(BOAT_DESK)
boat_archive = puts_away(BOAT_DESK)
person_new = adds(PERSON_DESK)
person_change = changes(PERSON_DESK)
person_archive = puts_away(PERSON_DESK)


@require(post="edit_facts")
def person_hours(request: YardRequest, pk: int) -> HttpResponseBase:
    """Away, or here beyond the usual week: written down as a happening, and a proposal is asked for."""
    person = found(Person.objects.filter(archived=False), pk=pk)
    form = AwayForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Nothing was written down. {why}").format(why=form.faults))
        return redirect("person_change", pk=pk)
    try:
        return _written(request, say_hours(form.hours(person), by=who(request), clocks=_clocks(request)), person)
    except EventRefused as refused:
        messages.error(request, str(refused))
        return redirect("person_change", pk=pk)


@require(post="edit_facts")
def person_hours_drop(request: YardRequest, pk: int) -> HttpResponseBase:
    """An absence that is none, or agreed hours that fall through."""
    row = found(DatedHours.objects.select_related("person"), pk=pk)
    try:
        return _written(request, drop_hours(row, by=who(request), clocks=_clocks(request)), row.person)
    except EventRefused as refused:
        messages.error(request, str(refused))
        return redirect("person_change", pk=row.person_id)


def _written(request: YardRequest, told: WrittenDown, row: Person | Place) -> HttpResponseBase:
    messages.success(request, _("{row}: it is written down. {why}").format(row=row, why=told.why).strip())
    if told.proposal is not None:
        return redirect("proposal", pk=told.proposal.pk)
    return redirect("person_change" if isinstance(row, Person) else "place_change", pk=row.pk)


@require("edit_facts", post="edit_facts")
def skills(request: YardRequest) -> HttpResponseBase:
    """What people of the yard can do; a POST adds one."""
    if request.method == "POST":
        name = request.POST.get("name", "").strip()
        key = form_key_in(request.POST.get("form_key", ""))
        told = keeping.add(SKILL, {"name": name}, writer=writer_of(request), form_key=key)
        say(request, told, _("{name} is on file. Give it to people on their pages.").format(name=name))
        return redirect("skills")
    return render(request, "keeping/skills.html", {"rows": skills_with_holders(), "form_key": uuid4()})


@require(post="edit_facts")
def skill_change(request: YardRequest, pk: int) -> HttpResponseBase:
    """Rename it, put it away, bring it back."""
    row, seen = found(Skill.objects.all(), pk=pk), seen_version(request)
    outcome: Kept[Any] | Refused | SomebodyWasQuicker[Any]
    if "archived" in request.POST:
        gone = request.POST["archived"] == "yes"
        outcome = keeping.archive(SKILL, pk, gone, seen_version=seen, writer=writer_of(request))
        say(
            request,
            outcome,
            _("{row} is archived; whoever has it keeps it.").format(row=row)
            if gone
            else _("{row} is back.").format(row=row),
        )
    else:
        values = {"name": request.POST.get("name", "").strip()}
        outcome = keeping.change(SKILL, pk, values, seen_version=seen, writer=writer_of(request))
        say(request, outcome, _("{name}: saved.").format(name=values["name"]))
    return redirect("skills")


place_new = adds(PLACE_DESK)
place_change = changes(PLACE_DESK)
place_archive = puts_away(PLACE_DESK)


@require(post="edit_facts")
def place_shut(request: YardRequest, pk: int) -> HttpResponseBase:
    """Shut for some hours: written down as a happening, and a proposal is asked for."""
    place = found(Place.objects.filter(archived=False), pk=pk)
    form = ShutForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Nothing was written down. {why}").format(why=form.faults))
        return redirect("place_change", pk=pk)
    try:
        return _written(request, say_hours(form.closed(place), by=who(request), clocks=_clocks(request)), place)
    except EventRefused as refused:
        messages.error(request, str(refused))
        return redirect("place_change", pk=pk)


@require("edit_facts", post="edit_facts")
def thing_new(request: YardRequest) -> HttpResponseBase:
    """`?boat=` says whose it is."""
    known = {"boat": number_in(request.GET.get("boat", ""))}
    return add_page(request, THING_DESK, initial=known)


thing_change = changes(THING_DESK)
thing_archive = puts_away(THING_DESK)


@require("view_plan", post="report_work")
def thing(request: YardRequest, pk: int) -> HttpResponseBase:
    """Where it is, and two taps to say it; for everybody who works in the yard."""
    row = found(Item.objects.select_related("boat", "order"), pk=pk)
    if request.method == "POST":
        try:
            lies = thing_lies_in(request.POST)
            seen, by, now = seen_in(request.POST), who(request), request.yard_now
            event = say_of_thing(row, lies, seen=seen, by=by, now=now, real_now=timezone.now())
            messages.success(
                request,
                _("{what}: {place}. What was said before stays on file.").format(
                    what=row, place=lies.place or lies.kind.label
                ),
            )
            if event is not None:
                messages.info(request, f"{event.says}.")
        except WhereRefused as refused:
            messages.error(request, _("Nothing was changed. {why}").format(why=refused))
        return redirect("thing", pk=pk)
    context = {"row": row, "where": thing_where(row), "care": sail_care(row, request.yard, request.yard_now)}
    return render(request, "keeping/thing_here.html", context)
