"""Owners: the list, one owner, what is known of them, and their shares in boats."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.vary import vary_on_headers

from yard.models import Owner
from yard.queries.owners import owner_rows, owners_on_file
from yard.services.keeping import Kept, Refused
from yard.web.access import found, require
from yard.web.boats.sheet import as_csv
from yard.web.filters.keeping import OwnerFilter
from yard.web.keeping.desk import add_page, today_of, writer_of
from yard.web.keeping.owner import OWNER_DESK, SHARE_DESK, new_share, owner_page, share_forms
from yard.web.keeping.row_views import changes, puts_away
from yard.web.lists.tools import list_tools
from yard.web.request import YardRequest
from yard.web.tables.owners import OwnerTable
from yard.web.tables.yard_table import of_request


@require("see_owners")
@vary_on_headers("HX-Request")
def owners(request: YardRequest) -> HttpResponse:
    """Every owner on file, searched, narrowed and sorted; `?as=csv` gives the same rows as a sheet."""
    today = today_of(request)
    chosen = OwnerFilter(request.GET, owners_on_file(), today=today)
    rows = owner_rows(chosen.qs)
    table = of_request(request, OwnerTable(rows, today=today))
    if request.GET.get("as") == "csv":
        return as_csv(table, "owners.csv")
    context = {"table": table, "filter": chosen, "found": len(rows), "tools": list_tools(request, "owners", table)}
    return render(request, "keeping/owners.html", context)


@require("see_owners")
def owner(request: YardRequest, pk: int) -> HttpResponse:
    row = found(Owner.objects.select_related("merged_into"), pk=pk)
    today = today_of(request)
    return render(request, "keeping/owner.html", {"owner": row, "page": owner_page(row, today), "today": today})


@require("edit_facts", post="edit_facts")
def owner_new(request: YardRequest) -> HttpResponseBase:
    return add_page(request, OWNER_DESK, initial={"name": request.GET.get("name", "")[:120]})


owner_change = changes(OWNER_DESK)
owner_archive = puts_away(OWNER_DESK)


@require("edit_facts", post="edit_facts")
def share_new(request: YardRequest) -> HttpResponseBase:
    """Somebody owns a boat from a day on; `?owner=` or `?boat=` fills one of the two in."""
    whose, form = share_forms(request)
    if whose.is_valid() and form.is_valid():
        match new_share(whose, form, writer=writer_of(request)):
            case Kept(row):
                messages.success(request, _("{row}: on file.").format(row=row))
                return redirect("owner", pk=row.owner_id)
            case Refused() as refused:
                form.refuse(refused)
    bad = bool(form.errors or whose.errors)
    return render(request, "keeping/share.html", {"form": form, "whose": whose}, status=422 if bad else 200)


share_change = changes(SHARE_DESK)
