"""Product data sheets: the list, one with those who use it, typed and changed, and used by orders in bulk."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.models import Order, ProductSheet, StaleRow
from yard.services import keeping
from yard.services.change_order import Sender
from yard.services.keeping import Kept, Refused, SomebodyWasQuicker
from yard.services.order_package import OrderRefused
from yard.services.product_sheets import PRODUCT, links_read_off, use_sheet
from yard.web.access import found, require
from yard.web.keeping.desk import seen_version, writer_of
from yard.web.products.form import SheetForm
from yard.web.products.page import sheet_page
from yard.web.products.words import limits_words
from yard.web.request import YardRequest, number_in, who


@require("view_plan")
def products(request: YardRequest) -> HttpResponse:
    sheets = [
        (sheet, limits_words(sheet, request.yard))
        for sheet in ProductSheet.objects.order_by("archived", "kind", "name")
    ]
    return render(request, "products/list.html", {"sheets": sheets})


@require("view_plan")
def product(request: YardRequest, pk: int) -> HttpResponse:
    sheet = found(ProductSheet.objects.all(), pk=pk)
    return render(request, "products/product.html", {"page": sheet_page(sheet, request.yard)})


@require("edit_facts", post="edit_facts")
def product_change(request: YardRequest, pk: int | None = None) -> HttpResponse:
    """A sheet typed anew, or changed; the waits that use it follow."""
    sheet = found(ProductSheet.objects.all(), pk=pk) if pk else None
    form = SheetForm(request.POST or None, yard=request.yard, sheet=sheet)
    quicker = False
    if form.is_bound and form.both_valid():
        match _kept(request, form, pk):
            case Kept(kept, _):
                reads = links_read_off(kept).count()
                messages.success(
                    request,
                    ngettext(
                        "{sheet} is on file. {n} wait of open jobs are read off it.",
                        "{sheet} is on file. {n} waits of open jobs are read off it.",
                        reads,
                    ).format(sheet=kept.name, n=reads),
                )
                return redirect("product", pk=kept.pk)
            case Refused() as refused:
                form.refuse(refused)
            case SomebodyWasQuicker(stored):
                sheet, quicker = stored, True
    bad = form.is_bound and not quicker
    context = {"form": form, "sheet": sheet, "quicker": quicker}
    return render(request, "products/change.html", context, status=409 if quicker else 422 if bad else 200)


def _kept(
    request: YardRequest, form: SheetForm, pk: int | None
) -> Kept[ProductSheet] | Refused | SomebodyWasQuicker[ProductSheet]:
    writer = writer_of(request)
    if pk is None:
        return keeping.add(PRODUCT, form.values(), writer=writer, form_key=form.cleaned_data["form_key"])
    return keeping.change(PRODUCT, pk, form.values(), seen_version=seen_version(request), writer=writer)


@require(post="order")
def product_use(request: YardRequest, pk: int) -> HttpResponse:
    """The ticked orders read their waits off this sheet; each as it was seen, or not at all."""
    sheet = found(ProductSheet.objects.filter(archived=False), pk=pk)
    done = []
    for ticked in dict.fromkeys(request.POST.getlist("order")):
        order = found(Order.objects.all(), pk=number_in(ticked))
        sender = Sender(who(request), request.yard_now, number_in(request.POST.get(f"version-{order.pk}", "")))
        try:
            done.append(use_sheet(order, sheet, sender=sender).ref)
        except StaleRow:
            messages.error(
                request,
                _("{order} was changed by somebody else meanwhile: look at it, then try again.").format(
                    order=order.ref
                ),
            )
        except OrderRefused as refused:
            messages.error(request, str(refused))
    if done:
        messages.success(
            request,
            _("{done}: waits are read off {sheet}. The posted plan stays.").format(
                done=", ".join(done), sheet=sheet.name
            ),
        )
    return redirect("product", pk=pk)
