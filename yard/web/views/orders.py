"""Orders: the list, taking one, and one order with what can be changed of it."""

from __future__ import annotations

from collections.abc import Callable

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.vary import vary_on_headers

from yard.models import JobWay, Order, StaleRow
from yard.queries.orders import open_orders
from yard.services import change_order
from yard.services.change_order import Sender
from yard.services.order_package import OrderRefused
from yard.services.when_done import EarliestDays
from yard.web.access import found, may, require
from yard.web.boats.sheet import as_csv
from yard.web.boats.words import dial
from yard.web.filters.orders import OrderFilter
from yard.web.keeping.row_views import changes
from yard.web.lists.tools import list_tools
from yard.web.number_fields import NumberField
from yard.web.orders.keep import ORDER_DESK
from yard.web.orders.taking import earliest, for_a_stranger, form_of, page_of, take
from yard.web.orders.whole import dates_form, order_page
from yard.web.records.kept import kept_of_order
from yard.web.request import YardRequest, number_in, who
from yard.web.tables.orders import OrderTable
from yard.web.tables.yard_table import of_request
from yard.web.units import local

ORDERS = Order.objects.select_related("boat", "package", "to_mooring", "made_by", "season", "sheet_choice")


class HoursForm(forms.Form):
    hours = NumberField(min_value=0.25, max_value=change_order.LONGEST_JOB_MIN / 60)


@require("view_plan")
@vary_on_headers("HX-Request")
def orders(request: YardRequest) -> HttpResponse:
    narrowed = OrderFilter(request.GET, queryset=open_orders(), request=request)
    table = of_request(request, OrderTable(narrowed.qs, sees_owners=may(request.user, "see_owners")))
    if request.GET.get("as") == "csv":
        return as_csv(table, "orders.csv")
    context = {"table": table, "filter": narrowed, "tools": list_tools(request, "orders", table)}
    return render(request, "orders/list.html", context)


@require("order", post="order")
def order_new(request: YardRequest, pk: int | None = None) -> HttpResponse:
    """Take an order: for the boat of the address, for one typed, or for a walk-in; or ask when it could be done."""
    if request.method == "POST" and "when" in request.POST:
        return _when(request)
    form = form_of(request, request.POST if request.method == "POST" else None, pk)
    if request.method == "POST" and "show" not in request.POST:
        taken = take(form, by=who(request), now=request.yard_now)
        if taken is not None:
            messages.success(
                request, _("Order {order} is taken: {n} jobs.").format(order=taken.ref, n=taken.jobs.count())
            )
            return redirect("order", pk=taken.pk)
    bad = form.is_bound and "show" not in request.POST
    return render(request, "orders/new.html", page_of(form), status=422 if bad else 200)


def _when(request: YardRequest) -> HttpResponse:
    form = form_of(request, for_a_stranger(request.POST))
    told = earliest(form, by=who(request), now=request.yard_now, others_move=request.POST["when"] == "others")
    context = page_of(form)
    if told is not None:
        answer, others = told.nobody_moves, told.others_move
        context |= {"answer": answer, "found": isinstance(answer, EarliestDays)}
        context |= {"others": others, "others_found": isinstance(others, EarliestDays)}
    return render(request, "orders/new.html", context, status=200 if told is not None else 422)


@require("order")
def order_work(request: YardRequest) -> HttpResponse:
    """Options and jobs of the package on the form, as they would be made; saves nothing."""
    return render(request, "orders/_work.html", page_of(form_of(request, request.GET)))


@require("view_plan")
def order(request: YardRequest, pk: int) -> HttpResponse:
    return _page(request, found(ORDERS, pk=pk))


order_change = changes(ORDER_DESK, "order")


@require(post="order")
def order_dates(request: YardRequest, pk: int) -> HttpResponse:
    row = found(ORDERS, pk=pk)
    form = dates_form(row, request.POST, local(request.yard_now).date())
    if not form.is_valid():
        return _page(request, row, form=form)
    first = form.cleaned_data["goes_first"]
    return _change(
        request, row, lambda sender: change_order.set_dates(row, form.dates(), goes_first=first, sender=sender)
    )


@require(post="order")
def order_options(request: YardRequest, pk: int) -> HttpResponse:
    row, options = found(ORDERS, pk=pk), request.POST.getlist("option")
    return _change(request, row, lambda sender: change_order.set_options(row, options, sender=sender))


@require(post="order")
def order_withdraw(request: YardRequest, pk: int) -> HttpResponse:
    row, reason = found(ORDERS, pk=pk), request.POST.get("reason", "")
    return _change(request, row, lambda sender: change_order.withdraw(row, reason=reason, sender=sender))


@require(post="order")
def order_put_back(request: YardRequest, pk: int) -> HttpResponse:
    row = found(ORDERS, pk=pk)
    return _change(request, row, lambda sender: change_order.put_back(row, sender=sender))


@require(post="order")
def order_hours(request: YardRequest, pk: int, way: int) -> HttpResponse:
    """How long one job takes, on this boat alone; typed in hours."""
    row, form = found(ORDERS, pk=pk), HoursForm(request.POST)
    chosen = found(JobWay.objects.select_related("job__order", "job__kind").filter(job__order=row), pk=way)
    if not form.is_valid():
        messages.error(
            request, _("{job}: write its hours as 1.5, at most 60. Nothing was changed.").format(job=chosen.job.name)
        )
        return redirect("order", pk=pk)
    minutes = round(form.cleaned_data["hours"] * 60)
    return _change(request, row, lambda sender: change_order.set_hours(chosen, minutes, sender=sender))


def _change(request: YardRequest, row: Order, act: Callable[[Sender], object]) -> HttpResponse:
    """Do it, or say why not; either way the order's page is next."""
    try:
        act(Sender(who(request), request.yard_now, number_in(request.POST.get("version", ""))))
        messages.success(request, _("It is changed. The posted plan stays as it is until the season is planned again."))
    except StaleRow:
        messages.error(
            request, _("Somebody changed this order meanwhile. Nothing was saved: look at it, then try again.")
        )
    except OrderRefused as refused:
        messages.error(request, str(refused))
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    return redirect("order", pk=row.pk)


def _page(request: YardRequest, row: Order, form: forms.Form | None = None) -> HttpResponse:
    today = local(request.yard_now).date()
    kept = kept_of_order(row, request.yard, request.user, request.GET.get("about", ""))
    context = {"page": order_page(row, request.yard), "dates": form or dates_form(row, None, today), "kept": kept}
    context["walk_in_dial"] = dial(row.walk_in_phone)
    return render(request, "orders/order.html", context, status=422 if form else 200)
