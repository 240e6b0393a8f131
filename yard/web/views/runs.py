"""Owners' runs: a day of them, a wish to answer, a run called off."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import uuid4

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.day_names import said
from yard.models import OwnersRun, RunWish, StaleRow
from yard.queries.runs import BOOKED, run_history, wishes_waiting
from yard.services.owners_runs import (
    RunAsked,
    RunRefused,
    SkyOverRuns,
    ask_run,
    book_run,
    call_off_run,
    change_run,
    decline_wish,
    off_the_run,
    offers_for,
    take_along,
    withdraw_wish,
)
from yard.web.access import found, may, require
from yard.web.days.dates import day_in_address
from yard.web.doing import do_or_say_why
from yard.web.keeping.desk import seen_version
from yard.web.request import YardRequest, form_key_in, number_in, who
from yard.web.runs.forms import RunChangeForm, RunForm, WishForm
from yard.web.runs.page import runs_day
from yard.web.units import local

WISHES = RunWish.objects.select_related("boat", "owner", "run__place").prefetch_related("run__people")
RUNS = OwnersRun.objects.select_related("place").prefetch_related("people", BOOKED)


@require("view_plan")
def runs_today(request: YardRequest) -> HttpResponse:
    return redirect("runs_day", day=local(request.yard_now).date().isoformat())


@require("view_plan", post="report_work")
def runs_of_day(request: YardRequest, day: str) -> HttpResponse:
    """The day's list; a POST keeps a wish to be carried."""
    shown = day_in_address(day)
    form = WishForm(request.POST or None, initial={"form_key": uuid4(), "people": 1})
    if form.is_valid() and (wish := _ask(request, form, shown)) is not None:
        messages.success(request, _("On the list: now choose how they go."))
        return redirect("run_wish", pk=wish.pk)
    context = {
        "read": runs_day(shown, request.yard, now=request.yard_now),
        "form": form,
        "before": shown - timedelta(days=1),
        "after": shown + timedelta(days=1),
        "today": local(request.yard_now).date(),
        "elsewhere": [wish for wish in wishes_waiting(now=request.yard_now) if local(wish.from_at).date() != shown],
    }
    return render(request, "runs/day.html", context, status=422 if form.errors else 200)


def _ask(request: YardRequest, form: WishForm, day: date) -> RunWish | None:
    try:
        key = form.cleaned_data["form_key"]
        return ask_run(form.asked(day), form_key=key, by=who(request), now=request.yard_now)
    except (RunRefused, ValidationError) as refused:
        form.add_error(None, refused if isinstance(refused, ValidationError) else str(refused))
        return None


@require("view_plan", post="report_work")
def run_wish(request: YardRequest, pk: int) -> HttpResponse:
    """One wish: the ways in which they could go, each booked at a press, or an hour of one's own."""
    wish = found(WISHES, pk=pk)
    form, day = None, local(wish.from_at).date()
    faults: tuple[str, ...] = ()
    if request.method == "POST":
        form = RunForm(request.POST) if "leaves_at" in request.POST else None
        done = _answer(request, wish, form, day)
        if done is None:
            return redirect("runs_day", day=day.isoformat())
        wish, faults = found(WISHES, pk=pk), done
    sky = SkyOverRuns.read(request.yard, now=request.yard_now)
    found_ways = offers_for(wish, now=request.yard_now) if wish.state == RunWish.State.ASKED else []
    offers = [(offer, sky.against(offer.place, offer.leaves_at, offer.back_at)) for offer in found_ways]
    if form is None:
        first = {"leaves_at": local(wish.from_at).time(), "back_at": local(wish.from_at + timedelta(minutes=30)).time()}
        form = RunForm(initial=first)
    context = {"wish": wish, "day": day, "offers": offers, "form": form, "faults": faults, "key": uuid4()}
    return render(request, "runs/wish.html", context, status=422 if faults or form.errors else 200)


def _answer(request: YardRequest, wish: RunWish, form: RunForm | None, day: date) -> tuple[str, ...] | None:
    """None where it was done; else why not, in sentences (none of them where a field of the form says it)."""
    by, now, seen = who(request), request.yard_now, seen_version(request)
    try:
        match request.POST.get("act"):
            case "along":
                take_along(
                    found(RUNS, pk=number_in(request.POST.get("run", ""))), wish, seen_version=seen, by=by, now=now
                )
            case "off":
                off_the_run(wish, seen_version=seen, by=by, now=now)
            case "decline":
                decline_wish(wish, why=request.POST.get("why", ""), seen_version=seen, by=by, now=now)
            case "withdraw":
                withdraw_wish(wish, seen_version=seen, by=by, now=now)
            case _ if form is not None and form.is_valid():
                asked = form.asked(day, may_go_first=may(request.user, "plan"))
                key = form_key_in(request.POST.get("form_key", ""))
                book_run(asked, wish, seen_version=seen, form_key=key, by=by, now=now)
            case _:
                return (_("Look at the fields below."),)
    except RunRefused as refused:
        return refused.faults
    except StaleRow:
        return (_("Somebody answered this meanwhile. Nothing was saved: look at it as it is now."),)
    messages.success(request, _("It is written down."))
    return None


STALE = gettext_lazy("Somebody changed this meanwhile. Nothing was saved: look at it as it is now.")


@require("view_plan", post="report_work")
def run_booked(request: YardRequest, pk: int) -> HttpResponse:
    """A booked run: who goes, another hour, and what was on file with the way back."""
    run = found(RUNS, pk=pk)
    form: RunChangeForm | None = None
    faults: tuple[str, ...] = ()
    if request.method == "POST":
        form = RunChangeForm(request.POST) if "leaves_at" in request.POST else None
        try:
            done = _change(request, run, form)
        except StaleRow:
            done, form = (str(STALE),), None
        if done is None:
            return redirect("run_booked", pk=pk)
        run, faults = found(RUNS, pk=pk), done
    if form is None:
        form = RunChangeForm(initial=_on_file(run))
    context = {
        "run": run,
        "day": local(run.leaves_at).date(),
        "left": run.leaves_at <= request.yard_now,
        "sky": SkyOverRuns.read(request.yard, now=request.yard_now).against(run.place, run.leaves_at, run.back_at),
        "form": form,
        "faults": faults,
        "history": run_history(run),
    }
    return render(request, "runs/booked.html", context, status=422 if faults or form.errors else 200)


def _on_file(run: OwnersRun) -> dict[str, object]:
    times = {"leaves_at": local(run.leaves_at).time(), "back_at": local(run.back_at).time()}
    return times | {"place": run.place, "people": list(run.people.all()), "note": run.note}


def _change(request: YardRequest, run: OwnersRun, form: RunChangeForm | None) -> tuple[str, ...] | None:
    """None where it was done; else why not, in sentences. Raises StaleRow."""
    agreed = False
    if request.POST.get("act") == "back":
        key = number_in(request.POST.get("past", ""))
        past = next((each for each in run_history(run) if each.key == key), None)
        if past is None:
            return (_("That is not on file: look at the page again."),)
        asked = RunAsked(
            place=past.place, people=past.people, leaves_at=past.leaves_at, back_at=past.back_at, note=past.note
        )
    elif form is not None and form.is_valid():
        agreed = form.cleaned_data["agreed"]
        asked = form.asked(local(run.leaves_at).date(), may_go_first=may(request.user, "plan"))
    else:
        return (_("Look at the fields below."),)
    by, now = who(request), request.yard_now
    try:
        change_run(run, asked, agreed=agreed, seen_version=seen_version(request), by=by, now=now)
    except RunRefused as refused:
        return refused.faults
    messages.success(request, _("It is written down: tell whoever goes."))
    return None


@require(post="report_work")
def run_off(request: YardRequest, pk: int) -> HttpResponse:
    run = found(RUNS, pk=pk)

    def act() -> str:
        why, seen = request.POST.get("why", ""), seen_version(request)
        call_off_run(run, why=why, seen_version=seen, by=who(request), now=request.yard_now)
        return _("The run at {time} is called off; who was to go waits for another.").format(
            time=said(local(run.leaves_at), "H:i")
        )

    do_or_say_why(request, act, RunRefused)
    return redirect("runs_day", day=local(run.leaves_at).date().isoformat())
