"""Adding a boat, changing what is known of her, putting her away, and the way back in her history."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render

from yard.models import Boat
from yard.queries.duplicates import boats_twice
from yard.services import keeping
from yard.services.keep_boat import BOAT
from yard.services.keeping import Kept, Refused, SomebodyWasQuicker
from yard.web.access import found, require
from yard.web.changes.boat_form import MEASURES, BoatForm
from yard.web.keeping.desk import say, seen_version, writer_of
from yard.web.keeping.form import Differing, Sayer, differing, history_of
from yard.web.request import YardRequest


@require("edit_facts", post="edit_facts")
def boat_new(request: YardRequest) -> HttpResponseBase:
    form = BoatForm(request.POST or None, yard=request.yard)
    if form.is_valid():
        match keeping.add(BOAT, form.values(), writer=writer_of(request), form_key=form.key()):
            case Kept(boat):
                messages.success(request, f"{boat} is on file.")
                return redirect("boat", pk=boat.pk)
            case Refused() as refused:
                form.refuse(refused)
    return _show(request, form)


@require("edit_facts", post="edit_facts")
def boat_change(request: YardRequest, pk: int) -> HttpResponseBase:
    """Her form. Where somebody else was quicker, both values are shown; a second Save is then a decision."""
    boat = found(Boat.objects.all(), pk=pk)
    form = BoatForm(request.POST or None, yard=request.yard, boat=boat)
    if not form.is_valid():
        return _show(request, form, boat)
    values = form.values(boat)
    seen = form.cleaned_data["version"] or 0
    match keeping.change(BOAT, pk, values, seen_version=seen, writer=writer_of(request)):
        case Kept(changed=changed):
            messages.success(request, f"{boat.name}: {'saved' if changed else 'nothing was changed'}.")
            return redirect("boat", pk=pk)
        case Refused() as refused:
            form.refuse(refused)
            return _show(request, form, boat)
        case SomebodyWasQuicker(stored):
            form.show_over(stored)
            return _show(request, form, stored, differing(values, stored, _says(form)))


@require(post="edit_facts")
def boat_archive(request: YardRequest, pk: int) -> HttpResponseBase:
    found(Boat.objects.all(), pk=pk)
    archived = request.POST.get("archived") == "yes"
    outcome = keeping.archive(BOAT, pk, archived, seen_version=seen_version(request), writer=writer_of(request))
    say(request, outcome, "She is archived: what hangs on her stays on file." if archived else "She is back.")
    return redirect("boat_change", pk=pk)


def _show(
    request: YardRequest, form: BoatForm, boat: Boat | None = None, quicker: tuple[Differing, ...] | None = None
) -> HttpResponse:
    refused = bool(form.errors) or quicker is not None
    history = history_of(boat, BOAT.fields, _says(form)) if boat else ()
    context: dict[str, Any] = {"form": form, "boat": boat, "quicker": quicker, "history": history}
    if boat is not None:
        context |= {"twins": boats_twice(boat) if not boat.archived else (), "wholes": list(boat.whole_changes.all())}
    status = 409 if quicker is not None else 422 if refused else 200
    return render(request, "changes/boat.html", context, status=status)


def _says(form: BoatForm) -> Sayer:
    return Sayer(MEASURES, feet=form.feet)
