"""People, skills, places and the things of boats: added, changed, put away, brought back, made as they were."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone

from yard.models import Boat, DatedHours, Item, Person, Place, Skill
from yard.queries.crew import skills_with_holders
from yard.services.happenings import EventRefused
from yard.services.keep_person import PEOPLE, SKILLS
from yard.services.keep_place import PLACES
from yard.services.keep_row import Kept, Refused, SomebodyWasQuicker, add, archive, change
from yard.services.keep_thing import THINGS
from yard.services.say_hours import Clocks, WrittenDown, drop_hours, say_hours
from yard.services.whereabouts import WhereRefused, say_where_thing_lies
from yard.web.access import found, may, require
from yard.web.boats.where import seen_in, thing_lies_in
from yard.web.changes.absences import AwayForm, ShutForm, absences, closures
from yard.web.changes.desk import Desk, add_page, archive_page, change_page, put_back_page, say, seen_version, writer_of
from yard.web.changes.person_form import PersonForm
from yard.web.changes.place_form import PlaceForm
from yard.web.changes.thing_form import ThingForm
from yard.web.changes.thing_where import thing_where
from yard.web.request import YardRequest, who
from yard.web.units import local


def _today(request: YardRequest) -> date:
    return local(request.yard_now).date()


def _clocks(request: YardRequest) -> Clocks:
    return Clocks(request.yard_now, timezone.now())


def _person_form(request: YardRequest, data: Any, row: Any) -> PersonForm:
    account = may(request.user, "manage_people")
    return PersonForm(data, yard=request.yard, row=row, today=_today(request), with_account=account)


def _thing_form(request: YardRequest, data: Any, row: Any) -> ThingForm:
    asked = request.GET.get("boat", "")
    boat = Boat.objects.filter(pk=int(asked), archived=False).first() if asked.isdecimal() and len(asked) < 12 else None
    initial = {"boat": boat} if row is None else {}
    return ThingForm(data, yard=request.yard, row=row, today=_today(request), initial=initial)


PERSON_DESK = Desk(
    book=PEOPLE,
    one="person",
    template="changes/person.html",
    names={"add": "person_new", "change": "person_change", "archive": "person_archive", "put_back": "person_put_back"},
    form=_person_form,
    around=lambda request, row: absences(row, _today(request)),
)
PLACE_DESK = Desk(
    book=PLACES,
    one="place",
    template="changes/place.html",
    names={"add": "place_new", "change": "place_change", "archive": "place_archive", "put_back": "place_put_back"},
    form=lambda request, data, row: PlaceForm(data, yard=request.yard, row=row),
    around=lambda request, row: closures(row, request.yard_now, _today(request)),
)
THING_DESK = Desk(
    book=THINGS,
    one="thing",
    template="changes/thing.html",
    names={"add": "thing_new", "change": "thing_change", "archive": "thing_archive", "put_back": "thing_put_back"},
    form=_thing_form,
    around=lambda request, row: {"where": thing_where(row)},
)


@require("edit_facts", post="edit_facts")
def person_new(request: YardRequest) -> HttpResponseBase:
    return add_page(request, PERSON_DESK)


@require("edit_facts", post="edit_facts")
def person_change(request: YardRequest, pk: int) -> HttpResponseBase:
    return change_page(request, PERSON_DESK, pk)


@require(post="edit_facts")
def person_archive(request: YardRequest, pk: int) -> HttpResponseBase:
    return archive_page(request, PERSON_DESK, pk)


@require(post="edit_facts")
def person_put_back(request: YardRequest, pk: int, history_id: int) -> HttpResponseBase:
    return put_back_page(request, PERSON_DESK, pk, history_id)


@require(post="edit_facts")
def person_hours(request: YardRequest, pk: int) -> HttpResponseBase:
    """Away, or here beyond the usual week: written down as a happening, and a proposal is asked for."""
    person = found(Person.objects.filter(archived=False), pk=pk)
    form = AwayForm(request.POST)
    if not form.is_valid():
        messages.error(request, f"Nothing was written down. {form.faults}")
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
    messages.success(request, f"{row}: it is written down. {told.why}".strip())
    if told.proposal is not None:
        return redirect("proposal", pk=told.proposal.pk)
    return redirect("person_change" if isinstance(row, Person) else "place_change", pk=row.pk)


@require("edit_facts", post="edit_facts")
def skills(request: YardRequest) -> HttpResponseBase:
    """What people of the yard can do; a POST adds one."""
    if request.method == "POST":
        name = request.POST.get("name", "").strip()
        if Skill.objects.filter(name__iexact=name).exists():
            messages.error(request, f"There is a skill “{name}” already.")
        else:
            told = add(SKILLS, {"name": name}, writer=writer_of(request))
            say(request, told, f"{name} is on file. Give it to people on their pages.")
        return redirect("skills")
    return render(request, "changes/skills.html", {"rows": skills_with_holders()})


@require(post="edit_facts")
def skill_change(request: YardRequest, pk: int) -> HttpResponseBase:
    """Rename it, put it away, bring it back."""
    row, seen = found(Skill.objects.all(), pk=pk), seen_version(request)
    outcome: Kept[Any] | Refused | SomebodyWasQuicker[Any]
    if "archived" in request.POST:
        gone = request.POST["archived"] == "yes"
        outcome = archive(SKILLS, pk, gone, seen_version=seen, writer=writer_of(request))
        say(request, outcome, f"{row} is archived; whoever has it keeps it." if gone else f"{row} is back.")
    else:
        values = {"name": request.POST.get("name", "").strip()}
        outcome = change(SKILLS, pk, values, seen_version=seen, writer=writer_of(request))
        say(request, outcome, f"{values['name']}: saved.")
    return redirect("skills")


@require("edit_facts", post="edit_facts")
def place_new(request: YardRequest) -> HttpResponseBase:
    return add_page(request, PLACE_DESK)


@require("edit_facts", post="edit_facts")
def place_change(request: YardRequest, pk: int) -> HttpResponseBase:
    return change_page(request, PLACE_DESK, pk)


@require(post="edit_facts")
def place_archive(request: YardRequest, pk: int) -> HttpResponseBase:
    return archive_page(request, PLACE_DESK, pk)


@require(post="edit_facts")
def place_put_back(request: YardRequest, pk: int, history_id: int) -> HttpResponseBase:
    return put_back_page(request, PLACE_DESK, pk, history_id)


@require(post="edit_facts")
def place_shut(request: YardRequest, pk: int) -> HttpResponseBase:
    """Shut for some hours: written down as a happening, and a proposal is asked for."""
    place = found(Place.objects.filter(archived=False), pk=pk)
    form = ShutForm(request.POST)
    if not form.is_valid():
        messages.error(request, f"Nothing was written down. {form.faults}")
        return redirect("place_change", pk=pk)
    try:
        return _written(request, say_hours(form.closed(place), by=who(request), clocks=_clocks(request)), place)
    except EventRefused as refused:
        messages.error(request, str(refused))
        return redirect("place_change", pk=pk)


@require("edit_facts", post="edit_facts")
def thing_new(request: YardRequest) -> HttpResponseBase:
    return add_page(request, THING_DESK)


@require("edit_facts", post="edit_facts")
def thing_change(request: YardRequest, pk: int) -> HttpResponseBase:
    return change_page(request, THING_DESK, pk)


@require(post="edit_facts")
def thing_archive(request: YardRequest, pk: int) -> HttpResponseBase:
    return archive_page(request, THING_DESK, pk)


@require(post="edit_facts")
def thing_put_back(request: YardRequest, pk: int, history_id: int) -> HttpResponseBase:
    return put_back_page(request, THING_DESK, pk, history_id)


@require("view_plan", post="report_work")
def thing(request: YardRequest, pk: int) -> HttpResponseBase:
    """Where it is, and two taps to say it; for everybody who works in the yard."""
    row = found(Item.objects.select_related("boat", "order"), pk=pk)
    if request.method == "POST":
        try:
            lies = thing_lies_in(request.POST)
            say_where_thing_lies(row, lies, seen=seen_in(request.POST), by=who(request), now=request.yard_now)
            messages.success(request, f"{row}: {lies.place or lies.kind.label}. What was said before stays on file.")
        except WhereRefused as refused:
            messages.error(request, f"Nothing was changed. {refused}")
        return redirect("thing", pk=pk)
    return render(request, "changes/thing_here.html", {"row": row, "where": thing_where(row)})
