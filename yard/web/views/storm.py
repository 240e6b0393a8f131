"""The storm: one warning makes the list of what is to be done for each boat afloat."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from yard.models import Storm
from yard.services.happenings import EventRefused
from yard.services.proposals import NothingPosted, ask_for_proposal
from yard.services.storm import end_storm, order_again, take_back_storm, warn
from yard.web.access import found, may, require
from yard.web.phone.storm import StormForm, message_to_all, send_to, storm_page
from yard.web.request import YardRequest, who
from yard.web.units import local

ROWS = Storm.objects.select_related("event", "made_by")


@require("view_plan", post="plan")
def storms(request: YardRequest) -> HttpResponseBase:
    """Warn of a storm; lists of this one and those before."""
    today = local(request.yard_now).date()
    initial = {"day": today + timedelta(days=2), "until": today + timedelta(days=4)}
    form = StormForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            storm = warn(form.warned(), by=who(request), now=request.yard_now)
            _propose(request, storm)
            return redirect("storm_list", pk=storm.pk)
        except EventRefused as error:
            form.add_error(None, str(error))
    return render(request, "phone/storms.html", {"form": form, "storms": ROWS.order_by("-made_at")[:20]})


def _propose(request: YardRequest, storm: Storm) -> None:
    """The hours that the storm shuts ask for a proposal, as any closure does."""
    try:
        ask_for_proposal([storm.event], by=who(request), now=timezone.now())
    except NothingPosted:
        messages.warning(request, _("No plan is posted, so there is none to mend."))


@require("view_plan")
@never_cache
def storm_list(request: YardRequest, pk: int) -> HttpResponse:
    """The list, to print, to tick off, with the message to all."""
    storm = found(ROWS, pk=pk)
    proposal = storm.event.proposals.order_by("-asked_at").first()
    page = storm_page(storm, proposal)
    context = {
        "storm": storm,
        "page": page,
        "proposal": proposal,
        "fresh_key": uuid4,
    }
    if may(request.user, "see_owners"):
        context |= {"message": message_to_all(storm, request.yard, page.unmanned), "send": send_to(storm)}
    return render(request, "phone/storm.html", context)


@require(post="plan")
def storm_act(request: YardRequest, pk: int, act: str) -> HttpResponseBase:
    """Order the rest again, end it, or take it back."""
    storm = found(ROWS.filter(ended_at=None), pk=pk)
    try:
        match act:
            case "again":
                order_again(storm, by=who(request), now=request.yard_now)
                _propose(request, storm)
                messages.success(request, _("Ordered again by the tides that are left; what is done stays."))
            case "end":
                end_storm(storm, by=who(request), now=request.yard_now)
                messages.success(
                    request, _("The storm is over. The list stays on file; what was not hauled is withdrawn.")
                )
            case "take-back":
                take_back_storm(storm, by=who(request), now=request.yard_now)
                messages.success(request, _("Taken back: the hours that it shut are open again, nobody is hauled."))
            case _:
                raise Http404
    except EventRefused as error:
        messages.error(request, str(error))
    return redirect("storm_list", pk=pk)
