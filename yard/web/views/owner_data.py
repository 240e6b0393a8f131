"""The personal data of an owner: what is kept, taken out as a file, and erased."""

from __future__ import annotations

import json

from django import forms
from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache

from yard.models import Owner, SecurityEvent
from yard.services.personal_data.erase import NotErased, erase, only_theirs, what_stands_in_the_way
from yard.services.personal_data.kept import KeptData, kept_of, perhaps_of
from yard.services.security_log import note
from yard.sheets.writing import write_csv
from yard.web.access import found, require
from yard.web.accounts.sessions import fresh
from yard.web.keeping.owner_data import as_table
from yard.web.request import YardRequest, who


class EraseForm(forms.Form):
    typed = forms.CharField(label=gettext_lazy("The owner’s name"), max_length=120, required=False)
    photographs = forms.BooleanField(label=gettext_lazy("Erase the photographs too"), required=False)


@require("manage_people")
@never_cache
def owner_data(request: YardRequest, pk: int) -> HttpResponse:
    return _page(request, found(Owner.objects.select_related("merged_into"), pk=pk), EraseForm())


@require(post="manage_people")
@fresh("owner_data")
@never_cache
def owner_data_json(request: YardRequest, pk: int) -> HttpResponse:
    """All of it in one file, for the owner or for another yard."""
    owner, kept = _taken_out(request, pk)
    said = kept.as_json(yard=request.yard.name, now=timezone.now())
    return _file(json.dumps(said, ensure_ascii=False, indent=1).encode(), f"owner-{owner.pk}.json", "application/json")


@require(post="manage_people")
@fresh("owner_data")
@never_cache
def owner_data_csv(request: YardRequest, pk: int) -> HttpResponse:
    """The same as a sheet, a line for each value."""
    owner, kept = _taken_out(request, pk)
    return _file(write_csv(as_table(kept)), f"owner-{owner.pk}.csv", "text/csv; charset=utf-8")


@require(post="manage_people")
@fresh("owner_data")
@never_cache
def owner_erase(request: YardRequest, pk: int) -> HttpResponseBase:
    owner, form = found(Owner.objects.all(), pk=pk), EraseForm(request.POST)
    try:
        if form.is_valid():
            asked = form.cleaned_data
            done = erase(
                owner, typed=asked["typed"], photographs=asked["photographs"], by=who(request), now=timezone.now()
            )
            words = _("{rows} rows are nameless, and {mentions} other places").format(
                rows=done.rows, mentions=done.mentions
            )
            messages.success(
                request,
                _("Erased: {words}. {photographs} photographs are gone.").format(
                    words=words, photographs=done.photographs
                ),
            )
            return redirect("owner", pk=pk)
    except NotErased as refused:
        form.add_error("typed", str(refused))
    return _page(request, owner, form)


def _page(request: YardRequest, owner: Owner, form: EraseForm) -> HttpResponse:
    kept = kept_of(owner)
    context = {
        "owner": owner,
        "kept": kept,
        "perhaps": perhaps_of(kept),
        "in_the_way": what_stands_in_the_way(owner),
        "photographs": only_theirs(owner).count(),
        "form": form,
    }
    return render(request, "keeping/owner_data.html", context, status=422 if form.errors else 200)


def _taken_out(request: YardRequest, pk: int) -> tuple[Owner, KeptData]:
    owner = found(Owner.objects.all(), pk=pk)
    note(
        SecurityEvent.Kind.OWNER_READ,
        by=who(request),
        now=timezone.now(),
        about=_("owner {owner}").format(owner=owner.pk),
    )
    return owner, kept_of(owner)


def _file(data: bytes, name: str, kind: str) -> HttpResponse:
    disposition = content_disposition_header(as_attachment=True, filename=name) or "attachment"
    return HttpResponse(data, content_type=kind, headers={"Content-Disposition": disposition})
