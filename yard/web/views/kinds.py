"""Kinds of job: the list, one added or changed, its history and the way back."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render

from yard.models import JobKind
from yard.services.keep_kind import Kept, NotPutBack, Refused, SomebodyWasQuicker, keep_kind, put_back_kind
from yard.web.access import found, require
from yard.web.keeping.desk import seen_version
from yard.web.kinds.form import KindForm
from yard.web.kinds.page import kind_rows, limits_words, packages_of, past_of
from yard.web.request import YardRequest, who


@require("view_plan")
def kinds(request: YardRequest) -> HttpResponseBase:
    return render(request, "kinds/list.html", {"kinds": kind_rows()})


@require("edit_facts", post="edit_facts")
def kind_change(request: YardRequest, pk: int | None = None) -> HttpResponseBase:
    """A kind added or changed. Where somebody was quicker, what was typed stays, and a second Save is a decision."""
    kind = found(JobKind.objects.all(), pk=pk) if pk else None
    form, quicker = KindForm(request.POST or None, kind=kind), False
    if form.is_valid():
        why, by, now = form.cleaned_data["why"].strip(), who(request), request.yard_now
        match keep_kind(pk, form.values(), seen_version=seen_version(request), reason=why, by=by, now=now):
            case Kept(row):
                messages.success(request, f"{row.name} is on file. The posted plan stays; the next one reads it.")
                return redirect("kind_change", pk=row.pk)
            case Refused() as refused:
                form.refuse(refused)
            case SomebodyWasQuicker(stored):
                kind, quicker = stored, True
    context = {"form": form, "kind": kind, "quicker": quicker} | _about(request, kind)
    bad = bool(form.errors)
    return render(request, "kinds/change.html", context, status=409 if quicker else 422 if bad else 200)


@require(post="edit_facts")
def kind_put_back(request: YardRequest, pk: int, history_id: int) -> HttpResponseBase:
    kind = found(JobKind.objects.all(), pk=pk)
    try:
        put_back_kind(kind, history_id, seen_version=seen_version(request), by=who(request), now=request.yard_now)
        messages.success(request, f"{kind.name} is as it was.")
    except NotPutBack as refused:
        messages.error(request, f"Nothing was changed. {refused}")
    return redirect("kind_change", pk=pk)


def _about(request: YardRequest, kind: JobKind | None) -> dict[str, object]:
    if kind is None:
        return {}
    return {"limits": limits_words(kind, request.yard), "packages": packages_of(kind), "past": past_of(kind)}
