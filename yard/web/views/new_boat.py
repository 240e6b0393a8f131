"""The new boat: options sheets, choosing for a boat, her sheet as it was chosen, and her trip."""

from __future__ import annotations

from uuid import uuid4

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.dateparse import parse_date
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.day_names import said
from yard.models import HeldDays, OptionSheet, Order, SheetChoice, StaleRow, Trip
from yard.services.new_boat import (
    NewBoatRefused,
    SheetInvalid,
    TripRefused,
    book_trip,
    bring_in_sheets,
    call_off,
    change_choice,
    sheet_of,
)
from yard.services.new_boat.book_trip import legs_of
from yard.services.order_package import OrderRefused
from yard.web.access import found, require
from yard.web.doing import do_or_say_why
from yard.web.keeping.desk import seen_version
from yard.web.keeping.row_views import adds, adds_to, changes, puts_away
from yard.web.new_boat.forms import OPTION_DESK, SHEET_DESK, ChooseForm, TripForm, trip_initial
from yard.web.new_boat.page import choice_page, sheet_page
from yard.web.new_boat.taking import Taking
from yard.web.request import YardRequest, who
from yard.web.units import local
from yard.web.when.page import Answer

SHEETS = OptionSheet.objects.select_related("package").prefetch_related("options")
CHOICES = SheetChoice.objects.select_related("sheet__package", "order__boat", "order__season", "made_by")
ORDERS = Order.objects.select_related("boat", "season")
TRIPS = Trip.objects.select_related("order__boat").prefetch_related("people", "places")

option_sheet_new = adds(SHEET_DESK)
option_sheet_change = changes(SHEET_DESK)
option_sheet_archive = puts_away(SHEET_DESK)
sheet_option_new = adds_to(SHEETS, "sheet", OPTION_DESK)
sheet_option_change = changes(OPTION_DESK)
sheet_option_archive = puts_away(OPTION_DESK)


@require("view_plan")
def option_sheets(request: YardRequest) -> HttpResponse:
    rows = SHEETS.filter(archived=request.GET.get("archived") == "yes")
    chosen = CHOICES.filter(order__state=Order.State.OPEN)[:50]
    return render(request, "new_boat/sheets.html", {"rows": rows, "chosen": chosen})


@require(post="edit_facts")
def option_sheets_shipped(request: YardRequest) -> HttpResponse:
    def act() -> str:
        count = bring_in_sheets(by=who(request), now=request.yard_now)
        return (
            ngettext("{n} sheet brought in.", "{n} sheets brought in.", count).format(n=count)
            if count
            else _("All of them are on file already.")
        )

    do_or_say_why(request, act, SheetInvalid)
    return redirect("option_sheets")


@require("view_plan")
def option_sheet(request: YardRequest, pk: int) -> HttpResponse:
    """The whole sheet, with every option; for the customer on paper too."""
    row = found(SHEETS, pk=pk)
    away = row.options.filter(archived=True)
    ids = {option.key: option.pk for option in row.options.all()}
    page = sheet_page(row, sheet_of(row).usual())
    return render(request, "new_boat/sheet.html", {"page": page, "row": row, "away": away, "ids": ids})


@require("order", post="order")
def sheet_choose(request: YardRequest, pk: int) -> HttpResponse:
    """Choose options for a boat: sums at each press, the day on which she could be done, and the order."""
    row = found(SHEETS, pk=pk)
    if request.method != "POST":
        form = ChooseForm(initial={"form_key": uuid4(), "boat": request.GET.get("boat")})
        page = sheet_page(row, sheet_of(row).usual())
        return render(request, "new_boat/choose.html", {"page": page, "row": row, "form": form})
    keys, act = frozenset(request.POST.getlist("option")), request.POST.get("act", "look")
    form = ChooseForm(request.POST, sums_alone=act == "look")
    done = _press(request, act, Taking(form, row, keys, by=who(request), now=request.yard_now))
    if isinstance(done, HttpResponse):
        return done
    context = {"page": sheet_page(row, keys, answer=done), "row": row, "form": form}
    bad = 409 if done is not None and done.other_day else 422 if act != "look" and done is None else 200
    return render(request, "new_boat/choose.html", context, status=bad)


def _press(request: YardRequest, act: str, taking: Taking) -> HttpResponse | Answer | None:
    """What the button does: where it leads, or a day that is told; None for sums alone, or where the form says why."""
    match act:
        case "take":
            choice = taking.take()
            if choice is None:
                return None
            messages.success(
                request,
                _("Order {order} is taken, with its jobs and what is to be bought.").format(order=choice.order.ref),
            )
            return redirect("sheet_choice", pk=choice.order_id)
        case "keep":
            seen = parse_date(request.POST.get("seen_day", "") or "-") or local(request.yard_now).date()
            held = taking.keep(seen, request.yard)
            if not isinstance(held, HeldDays):
                return held
            messages.success(
                request,
                _("Order {order} is held until {until}.").format(
                    order=held.order.ref, until=said(local(held.until), "l j F, H:i")
                ),
            )
            return redirect("held_days")
        case "when":
            return taking.when(request.yard)
    return None


@require("see_owners", post="order")
def sheet_choice(request: YardRequest, pk: int) -> HttpResponse:
    """What was chosen for one order, to print for the customer; a POST chooses otherwise."""
    choice = found(CHOICES, order=pk)
    if request.method != "POST":
        return render(request, "new_boat/choice.html", {"page": choice_page(choice)})
    keys = frozenset(request.POST.getlist("option"))
    wrong: tuple[str, ...] = ()
    try:
        seen, by = seen_version(request), who(request)
        stays = change_choice(choice, keys, seen_version=seen, by=by, now=request.yard_now)
        messages.success(request, " ".join((_("Changed: jobs, hours and the buying list follow."), *stays)))
        return redirect("sheet_choice", pk=pk)
    except NewBoatRefused as refused:
        wrong = refused.faults
    except StaleRow:
        wrong = (_("Somebody changed her options meanwhile: look at them as they are now."),)
        keys = frozenset(found(CHOICES, order=pk).options)
    except OrderRefused as refused:
        wrong = (str(refused),)
    context = {"page": choice_page(found(CHOICES, order=pk), keys), "wrong": wrong}
    return render(request, "new_boat/choice.html", context, status=422)


@require("view_plan", post="plan")
def order_trip(request: YardRequest, pk: int) -> HttpResponse:
    """Her trip with its fixed date: booked, or booked anew."""
    order = found(ORDERS, pk=pk)
    trip = TRIPS.filter(order=order, called_off_at=None).first()
    initial = trip_initial(trip, order.fixed_delivery_at) | {"form_key": uuid4()}
    form = TripForm(request.POST or None, initial=initial)
    if form.is_valid():
        try:
            sent = {"seen_version": form.cleaned_data["version"] or 0, "form_key": form.cleaned_data["form_key"]}
            book_trip(order, form.asked(), seen=trip, **sent, by=who(request), now=request.yard_now)
            messages.success(request, _("Booked: truck, trailer and people until they are back. Plan again now."))
            return redirect("order_trip", pk=pk)
        except TripRefused as refused:
            for fault in refused.faults:
                form.add_error(None, fault)
        except OrderRefused as closed:
            form.add_error(None, str(closed))
        except StaleRow:
            form.add_error(None, _("Somebody changed this trip meanwhile: look at it as it is now, then save again."))
    off = TRIPS.filter(order=order, called_off_at__isnull=False)
    context = {"form": form, "order": order, "trip": trip, "legs": legs_of(order), "off": off}
    return render(request, "new_boat/trip.html", context, status=422 if form.errors else 200)


@require(post="plan")
def trip_off(request: YardRequest, pk: int) -> HttpResponse:
    trip = found(TRIPS, pk=pk)

    def act() -> str:
        why = request.POST.get("why", "")
        call_off(trip, why=why, seen_version=seen_version(request), by=who(request), now=request.yard_now)
        return _("The trip of {day} is called off: truck, trailer and people are free.").format(
            day=said(local(trip.leaves_at), "j F")
        )

    do_or_say_why(request, act, TripRefused)
    return redirect("order_trip", pk=trip.order_id)
