"""The tide at the ramp, by day and by month."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import numpy as np
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.vary import vary_on_cookie

from yard.models import GaugeReading
from yard.services.read_gauge import GaugeRefused, keep_reading, take_back
from yard.tides.source import ASTRONOMICAL_ONLY, TideError
from yard.web.access import found, require
from yard.web.days.dates import day_in_address, month_after, month_in_address
from yard.web.days.gauge import gauge_now, typed_height
from yard.web.days.tides import Draft, read_draft, tide_day, tide_month
from yard.web.days.water import NoTide, tide_of
from yard.web.request import YardRequest, who
from yard.web.units import height_unit, local


@require("view_plan")
@vary_on_cookie
def tides_day(request: YardRequest, day: str) -> HttpResponse:
    """Highs and lows of one day, its light, and when a draft given by ?draft= has its water at the ramp."""
    shown, context = day_in_address(day), _asked(request)
    if not isinstance(context["source"], NoTide):
        now, yard = request.yard_now, request.yard
        try:
            is_today = shown == local(now).date()
            gauge = gauge_now(context["source"], yard, now=now) if is_today else None
            context |= {"gauge": gauge, "may_read": is_today}
            context["tide"] = tide_day(context["source"], yard, shown, context["draft"], now=now, gauge=gauge)
        except TideError as error:
            context["source"] = NoTide(_("The tide of this day is not known: {error}").format(error=error))
    context |= {"day": shown, "before": shown - timedelta(days=1), "after": shown + timedelta(days=1)}
    return render(request, "tides/day.html", context)


@require(post="report_work")
def tides_gauge(request: YardRequest, day: str) -> HttpResponse:
    """Keep what the gauge reads now; the day's page then says what it moves."""
    back = redirect("tides_day", day=day_in_address(day).isoformat())
    now, yard = request.yard_now, request.yard
    source, typed = tide_of(yard), typed_height(request.POST.get("height", ""), yard)
    if isinstance(typed, str):
        messages.error(request, typed)
        return back
    if isinstance(source, NoTide):
        messages.error(request, source.reason)
        return back
    try:
        predicted = float(source.heights_m(np.array([now.timestamp()]))[0])
        keep_reading(typed, predicted_m=predicted, at=now, by=who(request))
        messages.success(request, _("The reading is kept. Windows of the next hours are moved by it."))
    except (GaugeRefused, TideError) as refused:
        messages.error(request, str(refused))
    return back


@require(post="report_work")
def tides_gauge_back(request: YardRequest, pk: int) -> HttpResponse:
    """Take a reading back."""
    reading = found(GaugeReading.objects.all(), pk=pk)
    try:
        take_back(reading, now=request.yard_now)
        messages.success(request, _("The reading is taken back. Windows are as predicted again."))
    except GaugeRefused as refused:
        messages.error(request, str(refused))
    return redirect("tides_day", day=local(request.yard_now).date().isoformat())


@require("view_plan")
@vary_on_cookie
def tides_month(request: YardRequest, year: int, month: int) -> HttpResponse:
    """A month of tides, and which of its days float a draft given by ?draft= in light."""
    first, context = month_in_address(year, month), _asked(request)
    if not isinstance(context["source"], NoTide):
        today = local(request.yard_now).date()
        try:
            context["month_read"] = tide_month(context["source"], request.yard, first, context["draft"], today=today)
        except TideError as error:
            context["source"] = NoTide(_("The tide of this month is not known: {error}").format(error=error))
    context |= {"first": first, "before": month_after(first, -1), "after": month_after(first, 1)}
    return render(request, "tides/month.html", context)


def _asked(request: YardRequest) -> dict[str, Any]:
    """The tide, and the draft that is asked about."""
    yard = request.yard
    text = request.GET.get("draft", "")
    draft = read_draft(text, yard)
    return {
        "source": tide_of(yard),
        "unit": height_unit(yard),
        "draft_text": text,
        "draft": draft if isinstance(draft, Draft) else None,
        "trouble": draft if isinstance(draft, str) else "",
        "left_out": _(ASTRONOMICAL_ONLY),
    }
