"""Repair lists: all that are open, one with its lines and answers, and approved lines made into jobs."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from yard.models import Boat, Order, RepairLine, RepairList, StaleRow
from yard.services import repair_lists as verbs
from yard.services.keep_records import RecordRefused
from yard.services.repair_lists import RepairRefused
from yard.web.access import found, may, require
from yard.web.keeping.desk import seen_version
from yard.web.repairs.forms import HOW, AnswerForm, BeginForm, LineForm
from yard.web.repairs.page import list_page
from yard.web.request import YardRequest, who

LISTS = RepairList.objects.select_related("boat", "thing", "found_in__boat", "work_order", "made_by")


@require("view_plan")
def repair_lists(request: YardRequest) -> HttpResponse:
    stands = Q(lines__taken_out_at=None, lines__isnull=False)
    rows = LISTS.annotate(
        line_count=Count("lines", filter=stands),
        open_count=Count("lines", filter=stands & Q(lines__answer__in=["", "asked"])),
        approved_count=Count("lines", filter=stands & Q(lines__answer="approved")),
    ).order_by("-made_at", "-id")[:200]
    return render(request, "repairs/list.html", {"rows": rows})


@require("report_work", post="report_work")
def repair_list_new(request: YardRequest, boat: int | None = None, order: int | None = None) -> HttpResponse:
    """Begin one for a boat, or for what an order brought."""
    brought = found(Order.objects.select_related("boat"), pk=order) if order else None
    her = found(Boat.objects.all(), pk=boat) if boat else brought.boat if brought else None
    form = BeginForm(request.POST or None, boat=her, order=brought)
    if form.is_valid():
        said = form.cleaned_data
        row = verbs.begin_list(
            her,
            said["name"],
            found_in=brought,
            thing=said["thing"],
            form_key=said["form_key"],
            by=who(request),
            now=request.yard_now,
        )
        return redirect("repair_list", pk=row.pk)
    context = {"form": form, "boat": her, "order": brought}
    return render(request, "repairs/new.html", context, status=422 if form.is_bound else 200)


@require("view_plan", post="report_work")
def repair_list(request: YardRequest, pk: int) -> HttpResponse:
    """One list; what is sent is a new line."""
    row = found(LISTS, pk=pk)
    form = LineForm(*((request.POST, request.FILES) if request.method == "POST" else ()))
    if form.is_bound and form.is_valid():
        try:
            key = form.cleaned_data["form_key"]
            verbs.add_line(row, form.line(), form_key=key, by=who(request), now=request.yard_now)
            return redirect("repair_list", pk=pk)
        except RecordRefused as refused:
            form.add_error("photograph", str(refused))
        except ValidationError as wrong:
            for name, words in wrong.message_dict.items():
                form.add_error({"minutes": "hours"}.get(name, name if name in form.fields else None), words)
    context = {
        "page": list_page(row, sees_owners=may(request.user, "see_owners")),
        "form": form,
        "how": HOW,
    }
    return render(request, "repairs/repair_list.html", context, status=422 if form.errors else 200)


@require(post="order")
def repair_answer(request: YardRequest, pk: int, line: int) -> HttpResponse:
    """The owner's answer to one line, as said to somebody of the yard."""
    row = found(RepairLine.objects.filter(repair_list=pk), pk=line)
    form = AnswerForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Nothing was changed: choose asked, approved or declined."))
        return redirect("repair_list", pk=pk)
    said = form.cleaned_data
    return _change(
        request,
        pk,
        lambda seen: verbs.answer(
            row,
            said["answer"],
            said_by=said["said_by"],
            said_how=said["said_how"],
            seen_version=seen,
            by=who(request),
            now=request.yard_now,
        ),
        f"“{row.words}”: {dict(RepairLine.Answer.choices)[said['answer']]}.",
    )


@require(post="report_work")
def repair_line_out(request: YardRequest, pk: int, line: int) -> HttpResponse:
    row = found(RepairLine.objects.filter(repair_list=pk), pk=line)
    done = _("It is on the list again.") if row.taken_out_at else _("Taken out: it stays on file below.")
    return _change(
        request,
        pk,
        lambda seen: verbs.take_out(row, seen_version=seen, by=who(request), now=request.yard_now),
        done,
    )


@require(post="order")
def repair_jobs(request: YardRequest, pk: int) -> HttpResponse:
    """What is approved becomes jobs of an order."""
    row = found(LISTS, pk=pk)
    return _change(
        request,
        pk,
        lambda seen: verbs.make_jobs(row, seen_version=seen, by=who(request), now=request.yard_now),
        _("The approved lines are jobs now. The posted plan stays until the season is planned again."),
    )


def _change(request: YardRequest, pk: int, act: Callable[[int], object], done: str) -> HttpResponse:
    try:
        act(seen_version(request))
        messages.success(request, done)
    except StaleRow:
        messages.error(request, _("Somebody changed this meanwhile. Nothing was saved: look at it, then try again."))
    except RepairRefused as refused:
        messages.error(request, str(refused))
    return redirect("repair_list", pk=pk)
