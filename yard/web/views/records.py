"""Keeping notes, photographs and measurements, taking them back, and showing a photograph."""

from __future__ import annotations

from typing import cast

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from yard.models import Boat, Measurement, Memo, Order, Photograph
from yard.services.keep_records import (
    LONGEST_CAPTION,
    RecordRefused,
    keep_measurement,
    keep_note,
    keep_photograph,
    take_back_record,
)
from yard.services.photograph_files import small_name
from yard.web.access import found, require
from yard.web.records.forms import AboutForm, MeasureForm, NoteForm, subjects
from yard.web.records.kept import may_take_back
from yard.web.request import YardRequest, who

KINDS: dict[str, type[Memo] | type[Photograph] | type[Measurement]] = {
    "memo": Memo,
    "photograph": Photograph,
    "measurement": Measurement,
}
BOATS = Boat.objects.all()
ORDERS = Order.objects.select_related("boat").prefetch_related("jobs")


@require(post="report_work")
def boat_note(request: YardRequest, pk: int) -> HttpResponseBase:
    her = found(BOATS, pk=pk)
    form = NoteForm(request.POST, request.FILES, choices=subjects(her, _open_orders(her)), auto_id="note-%s")
    return _note(request, form, ("boat", pk))


@require(post="report_work")
def order_note(request: YardRequest, pk: int) -> HttpResponseBase:
    order = found(ORDERS, pk=pk)
    form = NoteForm(request.POST, request.FILES, choices=subjects(None, [order]), auto_id="note-%s")
    return _note(request, form, ("order", pk))


@require(post="report_work")
def boat_measure(request: YardRequest, pk: int) -> HttpResponseBase:
    her = found(BOATS, pk=pk)
    choices = subjects(her, _open_orders(her))
    form = MeasureForm(request.POST, choices=choices, yard=request.yard, auto_id="measure-%s")
    return _measure(request, form, ("boat", pk))


@require(post="report_work")
def order_measure(request: YardRequest, pk: int) -> HttpResponseBase:
    choices = subjects(None, [found(ORDERS, pk=pk)])
    form = MeasureForm(request.POST, choices=choices, yard=request.yard, auto_id="measure-%s")
    return _measure(request, form, ("order", pk))


@require(post="report_work")
def record_taken_back(request: YardRequest, kind: str, pk: int) -> HttpResponseBase:
    if kind not in KINDS:
        raise Http404("no such record")
    row = cast(Memo | Photograph | Measurement, found(KINDS[kind]._default_manager.all(), pk=pk))
    if row.taken_back_at is None and not may_take_back(row, request.user):
        raise PermissionDenied
    try:
        if take_back_record(row, by=who(request), now=request.yard_now):
            messages.success(request, _("Taken back: it is shown no more, and stays on file."))
        else:
            messages.error(request, _("Nothing was changed: somebody took it back before."))
    except RecordRefused as refused:
        messages.error(request, str(refused))
    to_order = row.boat_id is None or request.POST.get("from") == "order"
    return redirect("order", pk=row.order_id) if to_order and row.order_id else redirect("boat", pk=row.boat_id or 0)


@require("view_plan")
def photograph(request: YardRequest, pk: int) -> HttpResponseBase:
    return _picture(pk, small=False)


@require("view_plan")
def photograph_small(request: YardRequest, pk: int) -> HttpResponseBase:
    return _picture(pk, small=True)


def _note(request: YardRequest, form: NoteForm, page: tuple[str, int]) -> HttpResponseBase:
    if form.is_valid():
        by, now = who(request), request.yard_now
        text, sent, about = form.cleaned_data["text"], form.cleaned_data["photograph"], form.subject()
        try:
            if sent is not None:
                keep_photograph(about, sent.read(), caption=text, by=by, now=now)
            if sent is None or len(text.strip()) > LONGEST_CAPTION:
                keep_note(about, text, by=by, now=now)
            messages.success(request, _("It is kept."))
            return redirect(f"{page[0]}", pk=page[1])
        except RecordRefused as refused:
            form.add_error(refused.field, str(refused))
    return _again(request, form, page)


def _measure(request: YardRequest, form: MeasureForm, page: tuple[str, int]) -> HttpResponseBase:
    if form.is_valid():
        try:
            keep_measurement(form.subject(), form.measured(), by=who(request), now=request.yard_now)
            messages.success(request, _("It is kept."))
            return redirect(page[0], pk=page[1])
        except RecordRefused as refused:
            form.add_error(refused.field, str(refused))
    return _again(request, form, page)


def _again(request: YardRequest, form: AboutForm, page: tuple[str, int]) -> HttpResponse:
    """The form alone, with what was typed and what is wrong with it."""
    return render(request, "records/again.html", {"form": form, "back": page[0], "pk": page[1]}, status=422)


def _picture(pk: int, *, small: bool) -> HttpResponseBase:
    """A photograph that was taken back is shown to nobody. Always what this program wrote itself: a JPEG."""
    row = found(Photograph.objects.filter(taken_back_at=None), pk=pk)
    name = row.file.name or ""
    try:
        opened = default_storage.open(small_name(name) if small else name)
    except OSError as missing:
        raise Http404("the photograph's file is not in the data folder") from missing
    answer = FileResponse(opened, content_type="image/jpeg")
    answer.headers["Cache-Control"] = "private, max-age=3600"
    return answer


def _open_orders(boat: Boat) -> list[Order]:
    return list(ORDERS.filter(boat=boat, state=Order.State.OPEN).order_by("made_at", "id"))
