"""Materials, suppliers and stock, and the buying list with its ticks."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from yard.models import Material, Purchase, Supplier
from yard.pictures.lettering import weekday_day_month
from yard.queries.buying import buying_list, waiting_to_be_cut
from yard.queries.cloth import stock_rows
from yard.services import buying as verbs
from yard.services.buying import BuyingRefused
from yard.web.access import found, require
from yard.web.canvas.buying_page import ArrivalForm, line_rows
from yard.web.canvas.forms import MATERIAL_DESK, STOCK_DESK, SUPPLIER_DESK
from yard.web.canvas.materials_page import material_lines, stock_lines
from yard.web.canvas.tape import TapeRefused, tape_mm
from yard.web.doing import do_or_say_why
from yard.web.keeping.desk import add_page, seen_version, today_of
from yard.web.keeping.row_views import adds, changes, puts_away
from yard.web.request import YardRequest, who
from yard.web.units import in_feet

LINES = Purchase.objects.select_related("order__boat", "material__supplier", "stock__material")

material_new = adds(MATERIAL_DESK)
material_change = changes(MATERIAL_DESK)
material_archive = puts_away(MATERIAL_DESK)
supplier_new = adds(SUPPLIER_DESK)
supplier_change = changes(SUPPLIER_DESK)
supplier_archive = puts_away(SUPPLIER_DESK)
stock_change = changes(STOCK_DESK, "report_work")
stock_archive = puts_away(STOCK_DESK, "report_work")


@require("view_plan")
def materials(request: YardRequest) -> HttpResponse:
    """What is cut, who sells it, and what of it lies in the yard."""
    gone = request.GET.get("archived") == "yes"
    rows = Material.objects.filter(archived=gone).select_related("supplier").order_by("kind", "name", "id")
    context = {
        "materials": material_lines(list(rows), inches=in_feet(request.yard)),
        "suppliers": Supplier.objects.filter(archived=gone).order_by("name", "id"),
        "stock": stock_lines(stock_rows(archived=gone), inches=in_feet(request.yard)),
        "gone": gone,
    }
    return render(request, "canvas/materials.html", context)


@require("report_work", post="report_work")
def stock_new(request: YardRequest, pk: int) -> HttpResponseBase:
    return add_page(request, STOCK_DESK, material=found(Material.objects.filter(archived=False), pk=pk))


@require("view_plan")
def buying(request: YardRequest) -> HttpResponse:
    """What to order by when, what is on its way, what lies here to be cut."""
    today, zone, inches = today_of(request), ZoneInfo(request.yard.time_zone), in_feet(request.yard)
    groups = [(each, line_rows(each.lines, inches=inches)) for each in buying_list(today=today, zone=zone)]
    waiting = line_rows(waiting_to_be_cut(today=today, zone=zone), inches=inches)
    context = {"groups": groups, "waiting": waiting, "today": today, "inches": inches}
    return render(request, "canvas/buying.html", context)


@require(post="report_work")
def buying_line(request: YardRequest, pk: int) -> HttpResponse:
    """One tick: ordered, expected on another day, here, cut, not wanted any more."""
    line = found(LINES, pk=pk)
    do_or_say_why(request, lambda: _tick(request, line), BuyingRefused, TapeRefused)
    return redirect("buying")


def _tick(request: YardRequest, line: Purchase) -> str:
    seen, by, now = seen_version(request), who(request), request.yard_now
    match request.POST.get("act"):
        case "ordered":
            form = ArrivalForm(request.POST)
            if not form.is_valid():
                raise BuyingRefused(" ".join(str(words) for each in form.errors.values() for words in each))
            told = form.cleaned_data
            day = verbs.say_ordered(
                line, expected=told["expected"], told_by=told["told_by"], seen_version=seen, by=by, now=now
            )
            return _("{line}: ordered, expected {day}.").format(line=line, day=weekday_day_month(day))
        case "here":
            verbs.say_here(line, seen_version=seen, by=by, now=now)
            return _("{line}: here. What waited on it waits no more, once all of the order's cloth is here.").format(
                line=line
            )
        case "cut":
            typed = request.POST.get("used", "").strip()
            used = _used(typed, line, inches=in_feet(request.yard)) if typed else None
            verbs.say_cut(line, used=used, seen_version=seen, by=by, now=now)
            return _("{line}: cut; the roll or pile is so much less.").format(line=line)
        case "cancel":
            verbs.take_off_list(line, seen_version=seen, by=by, now=now)
            return _("{line}: off the list.").format(line=line)
        case _:
            raise BuyingRefused(_("Nothing was changed: press one of the buttons of a line."))


def _used(typed: str, line: Purchase, *, inches: bool) -> int:
    if not line.material.is_counted:
        return tape_mm(typed, inches=inches)
    if not (typed.isascii() and typed.isdigit() and len(typed) < 5):
        sheets, pieces = _("Say how many sheets, as a number."), _("Say how many pieces, as a number.")
        raise BuyingRefused(sheets if line.material.is_foam else pieces)
    return int(typed)
