"""Canvas orders: pieces in work, one order's pieces, their panels and options, and cutting plans."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from yard.cutting.values import CuttingRefused
from yard.models import Boat, CanvasOption, CanvasPanel, CanvasPiece, Material, Order, TakeOff
from yard.queries.canvas import earlier_pieces, in_work, of_boat
from yard.services import buying
from yard.services import canvas_pieces as verbs
from yard.services import take_off as offs
from yard.services.canvas_options import bring_in_options
from yard.services.canvas_pieces import CanvasRefused
from yard.services.order_package import OrderRefused
from yard.tasks import ask_to_look_longer
from yard.web.access import found, require
from yard.web.canvas.cutting_page import cutting_page
from yard.web.canvas.forms import OPTION_DESK, PANEL_DESK, PIECE_DESK
from yard.web.canvas.page import canvas_page, costs_words, ticks_of
from yard.web.doing import do_or_say_why
from yard.web.keeping.desk import add_page, seen_version, today_of
from yard.web.keeping.row_views import adds, changes, puts_away
from yard.web.request import YardRequest, who
from yard.web.units import in_feet

ORDERS = Order.objects.select_related("boat")
PIECES = CanvasPiece.objects.select_related("order__boat")
OFFS = TakeOff.objects.select_related("order__boat", "material__supplier", "made_by")

canvas_piece_change = changes(PIECE_DESK, "order")
canvas_piece_archive = puts_away(PIECE_DESK, "order")
canvas_panel_change = changes(PANEL_DESK, "report_work")
canvas_option_new = adds(OPTION_DESK)
canvas_option_change = changes(OPTION_DESK)
canvas_option_archive = puts_away(OPTION_DESK)


@require("view_plan")
def canvas(request: YardRequest) -> HttpResponse:
    """Every piece of an open order that is not fitted yet; `?boat=` every piece ever made for her."""
    asked = request.GET.get("boat", "")
    boat = found(Boat.objects.all(), pk=asked if asked.isascii() and asked.isdigit() else 0) if asked else None
    today = today_of(request)
    states = of_boat(boat, today=today) if boat is not None else in_work(today=today)
    return render(request, "canvas/list.html", {"rows": [(each, ticks_of(each)) for each in states], "boat": boat})


@require("view_plan")
def canvas_order(request: YardRequest, pk: int) -> HttpResponse:
    """The pieces of one order."""
    order = found(ORDERS, pk=pk)
    page = canvas_page(order, today=today_of(request), inches=in_feet(request.yard))
    return render(request, "canvas/order.html", {"page": page, "order": order, "open": order.state == "open"})


@require("order", post="order")
def canvas_piece_new(request: YardRequest, pk: int) -> HttpResponseBase:
    return add_page(request, PIECE_DESK, order=found(ORDERS, pk=pk))


@require("report_work", post="report_work")
def canvas_panel_new(request: YardRequest, pk: int) -> HttpResponseBase:
    piece = found(PIECES, pk=pk)
    return add_page(request, replace(PANEL_DESK, asks=lambda request: {"piece": piece}), piece=piece)


@require(post="report_work")
def canvas_panel_out(request: YardRequest, pk: int) -> HttpResponse:
    row = found(CanvasPanel.objects.select_related("piece__order"), pk=pk)

    def act() -> str:
        out = verbs.take_out_panel(row, seen_version=seen_version(request), by=who(request), now=request.yard_now)
        return _("Taken out: it stays on file below.") if out.taken_out_at else _("It is a panel of the piece again.")

    return _do(request, act, "canvas_order", row.piece.order_id)


@require(post="report_work")
def canvas_said(request: YardRequest, pk: int) -> HttpResponse:
    """A piece has come so far, or it was said by mistake."""
    piece = found(PIECES, pk=pk)
    stage, back = request.POST.get("stage", ""), request.POST.get("back") == "yes"

    def act() -> str:
        if back:
            verbs.take_back_stage(piece, stage, by=who(request), now=request.yard_now)
            return _("Taken back. Where the order waits on it, say so on the order's page.")
        said = verbs.say_stage(piece, stage, by=who(request), now=request.yard_now)
        return f"{piece.name}: {said.get_stage_display()}."

    return _do(request, act, "canvas_order", piece.order_id)


@require(post="order")
def canvas_options_of(request: YardRequest, pk: int) -> HttpResponse:
    piece = found(PIECES, pk=pk)

    def act() -> str:
        keys = request.POST.getlist("option")
        said = verbs.set_piece_options(
            piece, keys, seen_version=seen_version(request), by=who(request), now=request.yard_now
        )
        return _("Options of {piece}: {said}.").format(piece=piece.name, said="; ".join(said) or _("no hours changed"))

    return _do(request, act, "canvas_order", piece.order_id)


@require(post="report_work")
def canvas_copy(request: YardRequest, pk: int) -> HttpResponse:
    """Last time's panels."""
    piece = found(PIECES, pk=pk)
    typed = request.POST.get("from", "")
    source = next((each for each in earlier_pieces(piece) if str(each.pk) == typed), None)

    def act() -> str:
        if source is None:
            raise CanvasRefused(_("Choose the piece whose panels are to be taken."))
        count = verbs.copy_panels(piece, source, by=who(request), now=request.yard_now)
        return _("{n} panels as in {order}: measure again what may have changed.").format(
            n=count, order=source.order.ref
        )

    return _do(request, act, "canvas_order", piece.order_id)


@require(post="report_work")
def take_off_make(request: YardRequest, order: int, material: int) -> HttpResponse:
    """Nest the panels of one material now."""
    row, cloth = found(ORDERS, pk=order), found(Material.objects.all(), pk=material)
    try:
        made = offs.make_take_off(row, cloth, by=who(request), now=request.yard_now)
    except (CuttingRefused, OrderRefused) as refused:
        messages.error(request, str(refused))
        return redirect("canvas_order", pk=order)
    return redirect("take_off", pk=made.pk)


@require("view_plan")
def take_off(request: YardRequest, pk: int) -> HttpResponse:
    """The cutting plan, to scale and as a table."""
    row = found(OFFS, pk=pk)
    return render(request, "canvas/cutting.html", {"page": cutting_page(row, inches=in_feet(request.yard)), "row": row})


@require(post="report_work")
def take_off_act(request: YardRequest, pk: int) -> HttpResponse:
    """Look longer, cut it the other way, or put it on the buying list."""
    row = found(OFFS, pk=pk)
    what, seen, by, now = request.POST.get("act", ""), seen_version(request), who(request), request.yard_now

    def act() -> str:
        match what:
            case "longer":
                with transaction.atomic():
                    offs.mark_looking(row, seen_version=seen, by=by, now=now)
                    ask_to_look_longer(row.pk)
                return _("The worker looks for a shorter plan: about a minute. Load the page again then.")
            case offs.NESTED | offs.ROWS:
                offs.choose(row, what, seen_version=seen, by=by, now=now)
                return _("That is how it is cut.")
            case "buy":
                line = buying.put_on_list(row, by=by, now=now)
                kept = (
                    _("kept from stock: {stock}").format(stock=line.stock)
                    if line.from_stock
                    else line.get_state_display()
                )
                return f"{line}: {kept}."
            case _:
                raise CanvasRefused(_("Nothing was changed: press one of the buttons of the plan."))

    return _do(request, act, "take_off", pk)


@require("view_plan")
def canvas_options(request: YardRequest) -> HttpResponse:
    rows = [(option, costs_words(option)) for option in CanvasOption.objects.order_by("archived", "sequence", "id")]
    return render(request, "canvas/options.html", {"rows": rows})


@require(post="edit_facts")
def canvas_options_shipped(request: YardRequest) -> HttpResponse:
    count = bring_in_options(by=who(request), now=request.yard_now)
    messages.success(
        request, _("{n} options brought in.").format(n=count) if count else _("They were all on file already.")
    )
    return redirect("canvas_options")


def _do(request: YardRequest, act: Callable[[], str], to: str, pk: int) -> HttpResponse:
    do_or_say_why(request, act, CanvasRefused, OrderRefused, buying.BuyingRefused, CuttingRefused)
    return redirect(to, pk=pk)
