"""Sails: damp ones, those on the line, and washing ordered as winter work."""

from __future__ import annotations

from datetime import date

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.dateparse import parse_date
from django.utils.translation import gettext as _

from yard.services.order_package import OrderRefused
from yard.services.winter_washing import order_washing, take_back_washing
from yard.web.access import require
from yard.web.request import YardRequest, number_in, who
from yard.web.sails.page import sails_page


@require("view_plan", post="order")
def sails(request: YardRequest) -> HttpResponse:
    """What is ticked becomes an order to wash, dry, inspect, mend and stow; a press can be taken back."""
    if request.method != "POST":
        return render(request, "sails/page.html", {"page": sails_page(request.yard, request.yard_now)})
    if request.POST.get("act") == "back":
        picked = [number_in(each) for each in request.POST.getlist("order")]
        gone, stay = take_back_washing(picked, by=who(request), now=request.yard_now)
        words = _("{n} withdrawn. {stay} stay: begun meanwhile.") if stay else _("{n} withdrawn.")
        messages.success(request, words.format(n=gone, stay=stay))
        return redirect("sails")
    return _order(request)


def _order(request: YardRequest) -> HttpResponse:
    picked, walk_ins = ([number_in(each) for each in request.POST.getlist(name)] for name in ("boat", "walk_in"))
    try:
        back_by = _day(request.POST.get("back_by", ""))
        told = order_washing(picked, walk_ins=walk_ins, back_by=back_by, by=who(request), now=request.yard_now)
    except (OrderRefused, ValueError) as refused:
        messages.error(request, _("Nothing was ordered. {why}").format(why=refused))
        return redirect("sails")
    return render(request, "sails/page.html", {"page": sails_page(request.yard, request.yard_now), "told": told})


def _day(text: str) -> date | None:
    if not text:
        return None
    try:
        day = parse_date(text)
    except ValueError:
        day = None
    if day is None:
        raise ValueError(_("“{text}” is no day: write it as 2027-03-01.").format(text=text))
    return day
