"""A day closes or somebody is ill: write it down, read the proposal, accept, drop, change or undo it."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from yard.models import Event, Proposal, ProposedPlan
from yard.services.happenings import EventRefused
from yard.services.plan_runs import progress
from yard.services.proposals import (
    NothingPosted,
    ProposalRefused,
    accept,
    ask_for_proposal,
    drop,
    stale_because,
    undo,
)
from yard.services.read_problem import YardNotReady
from yard.services.record_event import open_events, record_event, take_back, waiting_events
from yard.services.suggest_closures import suggested_closures
from yard.web.access import found, require
from yard.web.proposals.forms import FORMS, ExtraHoursForm, all_forms
from yard.web.proposals.page import people_to_choose, proposal_page
from yard.web.request import YardRequest, asks_for_part, form_key_in, number_in, who

WISHES = ("keep_boats", "leave_people")
ROWS = Proposal.objects.select_related("based_on", "run", "posted", "decided_by", "asked_by")


@require("plan", post="plan")
def proposal_new(request: YardRequest) -> HttpResponse:
    sent = request.POST.get("form", "")
    form = None
    today = timezone.localtime(request.yard_now).date()
    if request.method == "POST" and (before := _sent_before(request)) is not None:
        return redirect("proposal", pk=before.pk)
    if request.method == "POST" and sent in FORMS:
        form = FORMS[sent](request.POST, prefix=sent)
        if form.is_valid() and (made := _record(request, form)) is not None:
            return redirect("proposal", pk=made.pk)
    day = _asked_day(request.GET.get("day", "")) or today + timedelta(days=1)
    context = {
        "forms": all_forms(day, sent, form),
        "events": open_events(),
        "waiting": waiting_events(),
        "corrects": _corrected(request),
        "suggested": suggested_closures(request.yard_now),
        "recent": Proposal.objects.prefetch_related("events").select_related("asked_by")[:20],
        "form_key": uuid4,
    }
    return render(request, "proposals/new.html", context)


def _corrected(request: YardRequest) -> Event | None:
    """The event that what is written now would correct: it is taken back in the same moment."""
    asked = request.POST.get("corrects") or request.GET.get("corrects", "")
    return Event.objects.filter(pk=number_in(asked), withdrawn_at=None).first()


@require(post="plan")
def proposal_for_waiting(request: YardRequest) -> HttpResponse:
    """Ask for one proposal for all that was written down since the last."""
    try:
        made = ask_for_proposal(waiting_events(), by=who(request), now=timezone.now())
        return redirect("proposal", pk=made.pk)
    except NothingPosted as error:
        messages.error(request, str(error))
    return redirect("proposal_new")


def _asked_day(text: str) -> date | None:
    """The day that the address asks the forms to begin with."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _record(request: YardRequest, form: Any) -> Proposal | None:
    """Write the event and ask for a proposal; what stops it is said on the form."""
    try:
        happening, key = form.happening(), form_key_in(request.POST.get("form_key", ""))
        event = record_event(
            happening, by=who(request), now=request.yard_now, corrects=_corrected(request), form_key=key
        )
        return ask_for_proposal([event], by=who(request), now=timezone.now())
    except EventRefused as error:
        form.add_error(None, str(error))
    except NothingPosted as error:
        messages.error(request, _("It is written down. {error}").format(error=error))
    return None


def _sent_before(request: YardRequest) -> Proposal | None:
    """The proposal of the same form, pressed twice: what it wrote may have made its own entries impossible."""
    key = form_key_in(request.POST.get("form_key", ""))
    return Proposal.objects.filter(events__form_key=key).first() if key is not None else None


@require("view_plan")
def proposal(request: YardRequest, pk: int) -> HttpResponse:
    row = found(ROWS, pk=pk)
    part = asks_for_part(request)
    told = progress(row.run, now=timezone.now()) if row.run else None
    if part:
        answer = render(request, "proposals/_making.html", {"proposal": row, "told": told})
        if row.state != Proposal.State.ASKED:
            answer["HX-Refresh"] = "true"
        return answer
    choice = _chosen(row, request.GET.get("choice", ""))
    page = proposal_page(row, choice, timezone.get_current_timezone()) if choice else None
    stale = stale_because(row) if row.state == Proposal.State.READY else ""
    context = {"proposal": row, "told": told, "page": page, "stale": stale, "crew": people_to_choose()}
    return render(request, "proposals/proposal.html", context | {"extra": ExtraHoursForm(prefix="extra")})


def _chosen(row: Proposal, rank: str) -> ProposedPlan | None:
    """The plan of the curve that is asked for, else the proposed one; None while there is none."""
    asked = row.choices.filter(rank=number_in(rank)).first() if rank else None
    return asked or row.choices.filter(proposed=True).first()


@require(post="post_plan")
def proposal_accept(request: YardRequest, pk: int) -> HttpResponse:
    row = found(ROWS, pk=pk)
    choice = found(ProposedPlan.objects.select_related("plan"), proposal=row, rank=request.POST.get("choice") or -1)
    try:
        posted = accept(row, choice, by=who(request), now=request.yard_now)
        messages.success(
            request,
            _("Plan {plan} hangs on the wall. It can be undone until an owner is told.").format(plan=posted.number),
        )
    except (ProposalRefused, YardNotReady) as error:
        _say(request, error)
    return redirect("proposal", pk=pk)


@require(post="plan")
def proposal_drop(request: YardRequest, pk: int) -> HttpResponse:
    try:
        drop(found(ROWS, pk=pk), by=who(request), now=request.yard_now)
        messages.success(request, _("Dropped: the posted plan stays. What happened stays written down."))
    except ProposalRefused as error:
        _say(request, error)
    return redirect("proposal", pk=pk)


@require(post="post_plan")
def proposal_undo(request: YardRequest, pk: int) -> HttpResponse:
    try:
        back = undo(found(ROWS, pk=pk), by=who(request), now=request.yard_now)
        messages.success(request, _("Plan {plan} hangs on the wall again.").format(plan=back.number))
    except (ProposalRefused, YardNotReady) as error:
        _say(request, error)
    return redirect("proposal", pk=pk)


@require(post="plan")
def proposal_again(request: YardRequest, pk: int) -> HttpResponse:
    row = found(ROWS, pk=pk)
    wishes = {name: [pk for each in request.POST.getlist(name) if (pk := number_in(each))] for name in WISHES}
    events = list(row.events.filter(withdrawn_at=None))
    extra = ExtraHoursForm(request.POST, prefix="extra")
    try:
        if request.POST.get("extra-day"):
            if not extra.is_valid():
                messages.error(request, _("Extra hours need people, a day, two times and a reason; nothing was asked."))
                return redirect("proposal", pk=pk)
            events.append(record_event(extra.happening(), by=who(request), now=request.yard_now))
        again = ask_for_proposal(events, by=who(request), now=timezone.now(), wishes=wishes, again_for=row)
    except (EventRefused, NothingPosted) as error:
        messages.error(request, str(error))
        return redirect("proposal", pk=pk)
    return redirect("proposal", pk=again.pk)


@require(post="plan")
def event_take_back(request: YardRequest, pk: int) -> HttpResponse:
    event = found(Event.objects.all(), pk=pk)
    try:
        take_back(event, by=who(request), now=request.yard_now)
        again = ask_for_proposal([], by=who(request), now=timezone.now())
        messages.success(request, _("Taken back. Here is what the plan would be now."))
        return redirect("proposal", pk=again.pk)
    except (EventRefused, NothingPosted) as error:
        messages.error(request, str(error))
    return redirect("proposal_new")


def _say(request: YardRequest, error: Exception) -> None:
    """What stops it; of faults the first three, each once."""
    faults = list(dict.fromkeys(getattr(error, "faults", ())))[:3]
    messages.error(request, " ".join([str(error), *(f"{fault}." for fault in faults)]))
