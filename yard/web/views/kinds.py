"""Kinds of job: the list, and one added or changed with its history."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from yard.models import JobKind
from yard.services import keeping
from yard.services.keep_kind import KIND, add_kind
from yard.services.keeping import Kept, Refused, SomebodyWasQuicker
from yard.web.access import found, require
from yard.web.keeping.desk import seen_version, writer_of
from yard.web.kinds.form import KindForm
from yard.web.kinds.page import about_kind, kinds_by_trade
from yard.web.request import YardRequest


@require("view_plan")
def kinds(request: YardRequest) -> HttpResponseBase:
    return render(request, "kinds/list.html", {"trades": kinds_by_trade()})


@require("edit_facts", post="edit_facts")
def kind_change(request: YardRequest, pk: int | None = None) -> HttpResponseBase:
    """A kind added or changed. Where somebody was quicker, what was typed stays, and a second Save is a decision."""
    kind = found(JobKind.objects.all(), pk=pk) if pk else None
    form, quicker = KindForm(request.POST or None, kind=kind), False
    if form.is_valid():
        match _kept(request, form, pk):
            case Kept(row, changed):
                kept = _("{kind} is on file. The posted plan stays; the next one reads it.")
                words = kept if changed else _("{kind} stands as it was.")
                messages.success(request, words.format(kind=row.name))
                return redirect("kind_change", pk=row.pk)
            case Refused() as refused:
                form.refuse(refused)
            case SomebodyWasQuicker(stored):
                kind, quicker = stored, True
    context = {"form": form, "kind": kind, "quicker": quicker} | about_kind(kind, request.yard)
    return render(request, "kinds/change.html", context, status=409 if quicker else 422 if form.errors else 200)


def _kept(
    request: YardRequest, form: KindForm, pk: int | None
) -> Kept[JobKind] | Refused | SomebodyWasQuicker[JobKind]:
    writer, why = writer_of(request), form.cleaned_data["why"].strip()
    if pk is None:
        return add_kind(form.values(), writer=writer)
    return keeping.change(KIND, pk, form.values(), seen_version=seen_version(request), writer=writer, reason=why)
