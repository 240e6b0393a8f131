"""A job of one order added, changed or taken out for her alone."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from yard.models import Job, Order, StaleRow
from yard.services.change_order import Sender
from yard.services.change_order_jobs import bring_back_job, keep_job, order_content, take_out_job
from yard.services.order_package import OrderRefused
from yard.services.package_edits import sheet_of
from yard.web.access import found, require
from yard.web.keeping.desk import seen_version
from yard.web.packages.job_form import Known, Sheet
from yard.web.products.of_job import product_rows
from yard.web.request import YardRequest, who

ORDERS = Order.objects.select_related("boat", "package")


@require("order", post="order")
def order_job(request: YardRequest, pk: int, job: int | None = None) -> HttpResponse:
    """One job of the order, or a new one, for her alone."""
    order = found(ORDERS, pk=pk)
    row = found(Job.objects.filter(order=order).exclude(state=Job.State.CANCELLED), pk=job) if job else None
    content = order_content(order)
    known = Known([(each.key, each.name) for each in content.job if row is None or each.key != row.key], [], [])
    sheet = Sheet(request.POST or None, known=known, sheet=sheet_of(content, row.key) if row else None)
    if row is None:
        sheet.taken = list(order.jobs.values_list("key", flat=True))
    told = _keep(request, order, sheet) if sheet.form.is_bound and sheet.is_valid() else ""
    if told is None:
        return redirect("order", pk=pk)
    bad = sheet.bad or bool(told)
    return render(
        request,
        "orders/job.html",
        {
            "order": order,
            "job": row,
            "sheet": sheet,
            "told": {"faults": [told]} if told else {},
            "products": product_rows(row, request.yard) if row else (),
        },
        status=422 if bad else 200,
    )


def _keep(request: YardRequest, order: Order, sheet: Sheet) -> str | None:
    """None where it is saved, else why not."""
    try:
        job = keep_job(order, sheet.said(), sender=_sender(request))
    except StaleRow:
        return _("Somebody changed this order meanwhile: open it again and look, your entries are still below.")
    except OrderRefused as refused:
        return str(refused)
    except ValidationError as wrong:
        return " ".join(wrong.messages)
    messages.success(request, _("{job} is changed for her alone. The posted plan stays as it is.").format(job=job.name))
    return None


@require(post="order")
def order_job_out(request: YardRequest, pk: int, job: int) -> HttpResponse:
    """Take a job out of the order, or bring it back."""
    order = found(ORDERS, pk=pk)
    row = found(Job.objects.filter(order=order), pk=job)
    act = bring_back_job if request.POST.get("act") == "back" else take_out_job
    try:
        act(order, row, sender=_sender(request))
        back, out = _("{job} is back, for her alone."), _("{job} is taken out, for her alone.")
        messages.success(request, (back if act is bring_back_job else out).format(job=row.name))
    except StaleRow:
        messages.error(
            request, _("Somebody changed this order meanwhile. Nothing was saved: look at it, then try again.")
        )
    except OrderRefused as refused:
        messages.error(request, str(refused))
    return redirect("order", pk=pk)


def _sender(request: YardRequest) -> Sender:
    return Sender(who(request), request.yard_now, seen_version(request))
