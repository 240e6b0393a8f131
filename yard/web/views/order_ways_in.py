"""Other ways to an order: somebody at the door, and last year's orders taken again."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from yard.models import Order
from yard.services.keep_records import RecordRefused
from yard.services.order_again import take_again, take_back
from yard.services.order_package import OrderRefused
from yard.services.walk_in import take_walk_in
from yard.web.access import require
from yard.web.orders.again import again_page, usual_year
from yard.web.orders.walk_in import WalkInForm
from yard.web.request import YardRequest, number_in, who
from yard.web.units import local


@require("order", post="order")
def walk_in(request: YardRequest) -> HttpResponse:
    """A torn sail, a name, a telephone number: one order, with its photograph."""
    sent = (request.POST, request.FILES) if request.method == "POST" else ()
    form = WalkInForm(*sent, today=local(request.yard_now).date())
    if form.is_bound and form.is_valid() and (taken := _take(request, form)) is not None:
        tagged = _("Order {order} is taken for {whom}, bag {tag}.")
        words = tagged if taken.bag_tag else _("Order {order} is taken for {whom}.")
        messages.success(request, words.format(order=taken.ref, whom=taken.walk_in_name, tag=taken.bag_tag))
        return redirect("order", pk=taken.pk)
    return render(request, "orders/walk_in.html", {"form": form}, status=422 if form.errors else 200)


def _take(request: YardRequest, form: WalkInForm) -> Order | None:
    photograph = form.cleaned_data["photograph"]
    sent = photograph.read() if photograph is not None else None
    by, now = who(request), request.yard_now
    try:
        return take_walk_in(form.cleaned_data["package"], form.dates(), form.terms(), sent, by=by, now=now)
    except RecordRefused as refused:
        form.add_error("photograph", str(refused))
    except OrderRefused as refused:
        form.add_error(None, str(refused))
    except ValidationError as error:
        form.add_error(None, error.messages)
    return None


@require("order", post="order")
def orders_again(request: YardRequest) -> HttpResponse:
    """Last year's orders by boat; those that are ticked are taken as new ones, and a press can be taken back."""
    today = local(request.yard_now).date()
    typed = request.GET.get("year", "")
    year = int(typed) if typed.isascii() and typed.isdigit() and len(typed) == 4 else usual_year(today)
    if request.method == "POST":
        picked = [number_in(each) for each in request.POST.getlist("order")]
        if request.POST.get("act") == "back":
            gone, stay = take_back(picked, by=who(request), now=request.yard_now)
            stays = _("{n} withdrawn. {stay} stay: begun, or confirmed meanwhile.")
            messages.success(request, (stays if stay else _("{n} withdrawn.")).format(n=gone, stay=stay))
            return redirect(f"{reverse('orders_again')}?year={year}")
        return _taken_again(request, picked, year)
    return render(request, "orders/again.html", {"page": again_page(year, today)})


def _taken_again(request: YardRequest, picked: list[int], year: int) -> HttpResponse:
    try:
        told = take_again(picked, by=who(request), now=request.yard_now)
    except OrderRefused as refused:
        messages.error(request, str(refused))
        return redirect(f"{reverse('orders_again')}?year={year}")
    page = again_page(year, local(request.yard_now).date())
    return render(request, "orders/again.html", {"page": page, "told": told})
