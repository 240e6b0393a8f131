"""What falls due by interval, made into orders; intervals and gear as data; what was found, written down."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.dateparse import parse_date
from django.utils.translation import gettext as _

from yard.models import Boat, Gear, Inspection, Interval, Mooring
from yard.queries.accounts import called
from yard.queries.due import Subject
from yard.services.inspections import InspectionRefused, record_inspection, withdraw_inspection
from yard.services.order_due import order_due, take_back_due
from yard.services.order_package import OrderRefused
from yard.services.shipped_intervals import bring_in_intervals
from yard.web.access import found, require
from yard.web.due.forms import GEAR_DESK, INTERVAL_DESK, LookedForm
from yard.web.due.page import DuePage, due_of, due_page, subject_url
from yard.web.keeping.desk import change_page, today_of
from yard.web.keeping.row_views import adds, changes, puts_away
from yard.web.request import YardRequest, number_in, who

COVERED: Mapping[str, str] = {
    Interval.Covers.RIG: "boat",
    Interval.Covers.TACKLE: "mooring",
    Interval.Covers.PARTS: "mooring",
    Interval.Covers.GEAR: "gear",
}
"""What an interval is about, as it stands in the address."""

interval_new = adds(INTERVAL_DESK)
interval_change = changes(INTERVAL_DESK)
interval_archive = puts_away(INTERVAL_DESK)
gear_new = adds(GEAR_DESK)
gear_archive = puts_away(GEAR_DESK)


@require("edit_facts", post="edit_facts")
def gear_change(request: YardRequest, pk: int) -> HttpResponseBase:
    """One piece of gear."""
    return change_page(request, GEAR_DESK, pk)


@require("view_plan", post="order")
def due(request: YardRequest) -> HttpResponse:
    """What falls due by a day (?by=), of one sort (?covers=), of one boat or mooring (?boat=3).

    What is ticked becomes orders, and can be taken back.
    """
    by_day, covers = _day(request.GET.get("by", "")), request.GET.get("covers", "")
    if request.method != "POST":
        return _show(request, by_day, covers)
    if request.POST.get("act") == "back":
        picked = [number_in(each) for each in request.POST.getlist("order")]
        gone, stay = take_back_due(picked, by=who(request), now=request.yard_now)
        words = _("{n} withdrawn. {stay} stay: begun meanwhile.") if stay else _("{n} withdrawn.")
        messages.success(request, words.format(n=gone, stay=stay))
        return redirect(request.get_full_path())
    page = due_page(request.yard, request.yard_now, by_day=by_day, covers=covers)
    picked_due = _picked(request, page)
    try:
        told = order_due(
            picked_due,
            by_day=page.by_day,
            by=who(request),
            now=request.yard_now,
            today=today_of(request),
            yard=request.yard,
        )
    except OrderRefused as refused:
        messages.error(request, _("Nothing was ordered. {why}").format(why=refused))
        return redirect(request.get_full_path())
    return _show(request, by_day, covers, told=told)


def _picked(request: YardRequest, page: DuePage) -> list[str]:
    """What is ticked; all of one interval, or of the page, where that was pressed."""
    act = request.POST.get("act", "")
    if act == "all":
        return page.ticks
    if act.startswith("all-"):
        of = number_in(act.removeprefix("all-"))
        return [tick for group in page.groups if group.interval.pk == of for tick in group.ticks]
    return request.POST.getlist("due")


def _show(request: YardRequest, by_day: date | None, covers: str, **more: object) -> HttpResponse:
    of = next((key for key in ("boat", "mooring", "gear") if request.GET.get(key)), "")
    only = _subject(of, number_in(request.GET[of])) if of else None
    whole = number_in(request.GET.get("whole", ""))
    page = due_page(request.yard, request.yard_now, by_day=by_day, covers=covers, only=only, whole=whole)
    return render(request, "due/page.html", {"page": page, **more})


def _day(text: str) -> date | None:
    try:
        return parse_date(text) if text else None
    except ValueError:
        return None


@require("view_plan")
def intervals(request: YardRequest) -> HttpResponse:
    rows = Interval.objects.select_related("package").order_by("archived", "covers", "name", "id")
    return render(request, "due/intervals.html", {"rows": rows})


@require(post="edit_facts")
def intervals_shipped(request: YardRequest) -> HttpResponseBase:
    count = bring_in_intervals(by=who(request), now=request.yard_now)
    messages.success(request, _("{n} came in. What was on file stays as you made it.").format(n=count))
    return redirect("intervals")


@require("view_plan")
def gear(request: YardRequest) -> HttpResponse:
    rows = Gear.objects.filter(archived="archived" in request.GET).select_related("place", "boat")
    return render(request, "due/gear.html", {"rows": rows, "archived": "archived" in request.GET})


@require("report_work", post="report_work")
def inspection_new(request: YardRequest, interval: int, of: str, pk: int) -> HttpResponseBase:
    """What was found of one thing, for one interval; and what was found before."""
    row, subject = found(Interval.objects.select_related("package"), pk=interval), _subject(of, pk)
    if COVERED[row.covers] != of:
        raise Http404
    form = LookedForm(request.POST or None, today=today_of(request), by_whom=called(request.user))
    if form.is_valid():
        key, by, now = form.cleaned_data["form_key"], who(request), request.yard_now
        try:
            kept = record_inspection(row, subject, form.looked(), form_key=key, by=by, now=now, today=today_of(request))
            messages.success(request, f"{subject}: {kept.get_result_display()}, {kept.done_on}.")
            return redirect("inspection_new", interval=interval, of=of, pk=pk)
        except InspectionRefused as refused:
            form.add_error(None, str(refused))
    past = Inspection.objects.filter(interval=row, **{of: subject}).select_related("recorded_by", "withdrawn_by")
    context = {
        "form": form,
        "interval": row,
        "subject": subject,
        "subject_url": subject_url(subject),
        "past": past,
        "due": [each for each in due_of(subject, request.yard, request.yard_now) if each.due.interval == row],
    }
    return render(request, "due/inspection.html", context, status=422 if form.errors else 200)


def _subject(of: str, pk: int) -> Subject:
    match of:
        case "boat":
            return found(Boat.objects.all(), pk=pk)
        case "mooring":
            return found(Mooring.objects.select_related("permit_boat"), pk=pk)
        case "gear":
            return found(Gear.objects.all(), pk=pk)
    raise Http404


@require(post="report_work")
def inspection_withdraw(request: YardRequest, pk: int) -> HttpResponseBase:
    """Written by mistake."""
    row = found(Inspection.objects.select_related("gear", "interval"), pk=pk)
    of = "boat" if row.boat_id else "mooring" if row.mooring_id else "gear"
    try:
        withdraw_inspection(row, by=who(request), now=request.yard_now)
        messages.success(request, _("It counts no more; it stays on file below."))
    except InspectionRefused as refused:
        messages.error(request, str(refused))
    subject = row.boat_id or row.mooring_id or row.gear_id
    return redirect(reverse("inspection_new", args=[row.interval_id, of, subject]))
