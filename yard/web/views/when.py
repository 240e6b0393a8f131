"""When could it be done? One page for the telephone, and what is held for callers."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.dateparse import parse_date
from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import HeldDays, Order, StaleRow
from yard.services.hold_days import let_go, let_go_of_run_out, take_held
from yard.services.order_package import OrderRefused
from yard.services.read_problem import YardNotReady
from yard.services.season_ready import make_ready
from yard.web.access import found, require
from yard.web.orders.form import OrderForm, boat_label
from yard.web.orders.taking import STRANGER, for_a_stranger, form_of
from yard.web.request import YardRequest, who
from yard.web.units import local
from yard.web.when.page import Answer, asked, held_for, held_now

ASKED = ("boat", "package", "earliest", "goes_first")


@require("order", post="order")
def when(request: YardRequest) -> HttpResponse:
    """A boat or a caller, a package, and at once the earliest day, the day to count on and the sentence to say."""
    if request.method != "POST":
        return _page(request, None)
    let_go_of_run_out(now=request.yard_now)
    if request.POST.get("act") == "keep":
        return _hold(request)
    return _page(request, for_a_stranger(request.POST))


def _page(request: YardRequest, sent: QueryDict | None) -> HttpResponse:
    form = form_of(request, sent)
    answer = asked(form, request.yard, by=who(request), now=request.yard_now) if sent is not None else None
    bad = sent is not None and answer is None
    return render(request, "when/page.html", _context(request, form, answer), status=422 if bad else 200)


def _context(request: YardRequest, form: OrderForm, answer: Answer | None) -> dict[str, object]:
    again = [(name, form.data.get(name, "")) for name in ASKED] if form.is_bound else []
    held = held_now(now=request.yard_now)
    return {
        "form": form,
        "answer": answer,
        "boats": [boat_label(boat) for boat in form.boats],
        "asked": again,
        "held": held,
        "stranger": STRANGER,
    }


def _hold(request: YardRequest) -> HttpResponse:
    form, seen = form_of(request, _named(request.POST)), parse_date(request.POST.get("seen_day", "") or "-")
    now, by = request.yard_now, who(request)
    held = held_for(form, seen or local(now).date(), request.yard, by=by, now=now)
    if isinstance(held, HeldDays):
        until = local(held.until)
        messages.success(
            request,
            _("Order {order} is held until {until}.").format(order=held.order.ref, until=said(until, "l j F, H:i")),
        )
        return redirect("held_days")
    status = 422 if held is None else 409
    return render(request, "when/page.html", _context(request, form, held), status=status)


def _named(sent: QueryDict) -> QueryDict:
    """Days are held for somebody: whoever asked without a name gives one now."""
    named = sent.copy()
    if named.get("walk_in_name", "").strip() == str(STRANGER):
        named["walk_in_name"] = ""
    return named


@require("order")
def when_ready(request: YardRequest) -> HttpResponse:
    """Read the season into memory while the question is typed, so that the answer need not wait for it."""
    try:
        ready = make_ready(now=request.yard_now)
    except YardNotReady as error:
        return HttpResponse(str(error), content_type="text/plain; charset=utf-8")
    return HttpResponse(_("The plan is at hand.") if ready else _("No plan is posted yet: no day can be told."))


@require("order")
def held_days(request: YardRequest) -> HttpResponse:
    return render(request, "when/held.html", {"held": held_now(now=request.yard_now)})


@require(post="order")
def held_take(request: YardRequest, pk: int) -> HttpResponse:
    held = found(HeldDays.objects.all(), pk=pk)

    def take() -> HttpResponse:
        order = take_held(held, by=who(request), now=request.yard_now)
        messages.success(
            request, _("Order {order} is taken. Plan the season again to have it in the plan.").format(order=order.ref)
        )
        return redirect("order", pk=order.pk)

    return _decided(request, take)


@require(post="order")
def held_let_go(request: YardRequest, pk: int) -> HttpResponse:
    held = found(HeldDays.objects.all(), pk=pk)

    def release() -> HttpResponse:
        order: Order = let_go(held, by=who(request), now=request.yard_now)
        messages.success(request, _("Order {order} is let go: others may have its days.").format(order=order.ref))
        return redirect("held_days")

    return _decided(request, release)


def _decided(request: YardRequest, act: Callable[[], HttpResponse]) -> HttpResponse:
    try:
        return act()
    except StaleRow:
        messages.error(request, _("That is not held any more: somebody decided it, or its time ran out."))
    except OrderRefused as refused:
        messages.error(request, str(refused))
    return redirect("held_days")
