"""Lists as sheets: send one, match its columns, look at it, save it or take it back, and get one out."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.http import content_disposition_header
from django.views.decorators.cache import never_cache

from yard.models import SheetImport, YardSettings
from yard.queries.list_values import list_counts, list_rows
from yard.services.import_sheet import (
    ImportRefused,
    drop,
    owners_not_on_file,
    preview_of,
    put_owners_on_file,
    save_import,
    send_sheet,
    take_back,
)
from yard.services.import_sheet.sent import list_of
from yard.sheets.columns import ListOf
from yard.sheets.lists import LISTS
from yard.sheets.writing import Table, write_csv, write_template, write_xlsx
from yard.web.access import found, may, require
from yard.web.lists.columns import ColumnsForm
from yard.web.lists.preview import preview_page, saved_page
from yard.web.lists.upload import SheetForm
from yard.web.request import YardRequest
from yard.web.units import local

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
RECENT = 12


def _list(name: str) -> ListOf:
    if name not in LISTS:
        raise Http404("There is no such list.")
    return LISTS[name]


def _private(request: YardRequest) -> bool:
    return may(request.user, "see_owners")


def _sent(pk: int) -> SheetImport:
    return found(SheetImport.objects.select_related("sent_by", "ended_by"), pk=pk)


def _feet(request: YardRequest) -> bool:
    return bool(request.yard.units == YardSettings.Units.FEET)


@require("import_lists")
@never_cache
def lists(request: YardRequest) -> HttpResponse:
    """Every list: how many rows it has, in and out, and the sheets that were sent."""
    counts = list_counts()
    shown = [(of, counts[name]) for name, of in LISTS.items() if of.open_to(private=_private(request))]
    recent = SheetImport.objects.defer("sheets", "choices", "changes").select_related("sent_by")[:RECENT]
    context = {"lists": shown, "recent": [(one, LISTS[one.of]) for one in recent]}
    return render(request, "lists/list.html", context)


@require("import_lists", post="import_lists")
@never_cache
def list_import(request: YardRequest, name: str) -> HttpResponseBase:
    """Choose a file; a sheet whose columns are all known goes straight to what it would change."""
    of = _list(name)
    columns = of.open_to(private=_private(request))
    if not columns:
        raise Http404("There is no such list.")
    form = SheetForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        sent = form.send(send_sheet, of, columns, **_hand(request))
        if sent is not None:
            return redirect("list_preview" if ColumnsForm(sent, columns).settled else "list_columns", sent.pk)
    context = {"form": form, "list": of, "columns": [one for one in columns if not one.shown]}
    return render(request, "lists/import.html", context, status=422 if form.errors else 200)


@require("import_lists", post="import_lists")
@never_cache
def list_columns(request: YardRequest, pk: int) -> HttpResponseBase:
    """Which column of the sheet is which of ours; kept, and remembered for the next sheet."""
    sent = _sent(pk)
    of = list_of(sent)
    if sent.state != SheetImport.State.SENT:
        return redirect("list_preview", pk)
    form = ColumnsForm(sent, of.open_to(private=_private(request)), request.POST or None, look=request.GET)
    if request.method == "POST" and form.is_valid():
        return _done(request, form.keep, "list_preview", pk)
    context = {"form": form, "list": of, "sent": sent}
    return render(request, "lists/columns.html", context, status=422 if form.errors else 200)


@require("import_lists")
@never_cache
def list_preview(request: YardRequest, pk: int) -> HttpResponse:
    """What a sheet would change, row by row; once it is saved, what it changed."""
    sent = _sent(pk)
    if sent.state != SheetImport.State.SENT:
        rows = saved_page(sent, private=_private(request), feet=_feet(request))
        return render(request, "lists/saved.html", {"rows": rows, "list": list_of(sent), "sent": sent})
    preview = preview_of(sent, private=_private(request))
    page = preview_page(preview, request.GET, feet=_feet(request))
    owners = owners_not_on_file(sent) if page.counts.wrong and _private(request) else ()
    context = {"page": page, "list": preview.of, "sent": sent, "owners": owners}
    return render(request, "lists/preview.html", context)


@require(post="import_lists")
def list_save(request: YardRequest, pk: int) -> HttpResponseBase:
    """Save all of it, if it would still do what the page said."""
    sent, seen = _sent(pk), request.POST.get("fingerprint", "")
    who = {"private": _private(request), **_hand(request)}
    return _done(request, lambda: save_import(sent, seen, **who), "list_preview", pk)


@require(post="see_owners")
def list_owners(request: YardRequest, pk: int) -> HttpResponseBase:
    """Put on file, by name, the owners whom a sheet of boats names."""
    sent = _sent(pk)
    return _done(request, lambda: put_owners_on_file(sent, **_hand(request)), "list_preview", pk)


@require(post="import_lists")
def list_drop(request: YardRequest, pk: int) -> HttpResponseBase:
    """Forget a sheet that was not saved."""
    sent = _sent(pk)
    return _done(request, lambda: drop(sent, **_hand(request)), "lists")


@require(post="import_lists")
def list_take_back(request: YardRequest, pk: int) -> HttpResponseBase:
    """Undo a saved sheet as a whole."""
    sent = _sent(pk)
    return _done(request, lambda: take_back(sent, **_hand(request)), "list_preview", pk)


def _hand(request: YardRequest) -> dict[str, Any]:
    return {"by": request.user, "now": request.yard_now}


def _done(request: YardRequest, act: Callable[[], object], then: str, *args: object) -> HttpResponseBase:
    """Do it and go on; what is refused is said on the page that comes."""
    try:
        act()
    except ImportRefused as refused:
        messages.error(request, str(refused))
    return redirect(then, *args)


@require("import_lists")
@never_cache
def list_export(request: YardRequest, name: str, form: str) -> HttpResponse:
    """The list as a sheet, which brought in again changes nothing."""
    of = _list(name)
    columns = of.open_to(private=_private(request))
    if form not in ("csv", "xlsx") or not columns:
        raise Http404("There is no such sheet.")
    table = Table(of.english_title, columns, tuple(values for _, values in list_rows(of)), _feet(request))
    data = write_csv(table) if form == "csv" else write_xlsx(table)
    today = local(request.yard_now).date()
    return _file(data, f"{of.name}-{today}.{form}", "text/csv; charset=utf-8" if form == "csv" else XLSX)


@require("import_lists")
def list_template(request: YardRequest, name: str) -> HttpResponse:
    """An empty sheet with our headings, and what to write under each."""
    of = _list(name)
    columns = of.open_to(private=_private(request))
    if not columns:
        raise Http404("There is no such list.")
    return _file(write_template(of.english_title, columns), f"{of.name}-empty.xlsx", XLSX)


def _file(data: bytes, name: str, kind: str) -> HttpResponse:
    disposition = content_disposition_header(as_attachment=True, filename=name) or "attachment"
    return HttpResponse(data, content_type=kind, headers={"Content-Disposition": disposition})
