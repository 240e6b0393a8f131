"""A change of a package offered to open orders: which differ, what each would get; take or leave each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Order, Package, StaleRow
from yard.services import offer_package
from yard.services.change_order import Sender
from yard.services.offer_lines import Act, decide_line
from yard.services.order_package import OrderRefused
from yard.web.access import found, require
from yard.web.packages.offers import offers_page
from yard.web.request import YardRequest, number_in, who

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

LINE: Mapping[Act, StrOrPromise] = {
    "take": gettext_lazy("that line is taken; it can be taken back below."),
    "leave": gettext_lazy("that line is left; it can be offered again below."),
    "back": gettext_lazy("taken back: it stands as before, and is offered again."),
}


@require("order", post="order")
def package_offers(request: YardRequest, pk: int) -> HttpResponse:
    """Take or leave the newest edition for the orders that are ticked; each as it was seen, or not at all."""
    package = found(Package.objects.all(), pk=pk)
    if request.method == "POST":
        if "line" in request.POST:
            _decide_line(request, package)
        else:
            _take_or_leave(request, package)
        return redirect("package_offers", pk=pk)
    return render(request, "packages/offers.html", {"page": offers_page(package)})


def _decide_line(request: YardRequest, package: Package) -> None:
    """One line of one order, as the button says: what to do, the order, the line."""
    act, _bar, rest = request.POST["line"].partition("|")
    pk, _bar, name = rest.partition("|")
    order = found(Order.objects.filter(package=package), pk=number_in(pk))
    sender = Sender(who(request), request.yard_now, number_in(request.POST.get(f"version-{order.pk}", "")))
    wanted: Act = "take" if act == "take" else "leave" if act == "leave" else "back"
    try:
        decide_line(order, name, wanted, number=number_in(request.POST.get("edition", "")), sender=sender)
        messages.success(
            request,
            _("{order}: {done} The posted plan stays until the season is planned again.").format(
                order=order.ref, done=LINE[wanted]
            ),
        )
    except StaleRow:
        messages.error(
            request,
            _("{order} was changed by somebody else meanwhile: look at it, then try again.").format(order=order.ref),
        )
    except (OrderRefused, ValidationError) as refused:
        messages.error(request, f"{order.ref}: {refused}")


def _take_or_leave(request: YardRequest, package: Package) -> None:
    act = offer_package.take if request.POST.get("act") == "take" else offer_package.leave
    edition, done = number_in(request.POST.get("edition", "")), []
    for ticked in request.POST.getlist("order"):
        order = found(Order.objects.filter(package=package), pk=number_in(ticked))
        sender = Sender(who(request), request.yard_now, number_in(request.POST.get(f"version-{order.pk}", "")))
        try:
            act(order, number=edition, sender=sender)
            done.append(order.ref)
        except StaleRow:
            messages.error(
                request,
                _("{order} was changed by somebody else meanwhile: look at it, then try again.").format(
                    order=order.ref
                ),
            )
        except (OrderRefused, ValidationError) as refused:
            messages.error(request, f"{order.ref}: {refused}")
    if done:
        took = _("{orders}: took the change. The posted plan stays until the season is planned again.")
        kept = _("{orders}: keep what they have. The posted plan stays until the season is planned again.")
        messages.success(request, (took if act is offer_package.take else kept).format(orders=", ".join(done)))
    elif not request.POST.getlist("order"):
        messages.error(request, _("Nothing was changed: tick the orders first."))
