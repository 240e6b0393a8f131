"""Hours, materials and agreed extras for the bookkeeper."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.http import content_disposition_header
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from yard.queries.books import books_of
from yard.sheets.books import SHEETS, title_of
from yard.sheets.writing import write_book, write_csv
from yard.web.access import require
from yard.web.keeping.desk import today_of
from yard.web.request import YardRequest
from yard.web.seasons.books import asked_in, books_page, tables_of

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
CSV = "text/csv; charset=utf-8"
ALL = "books"


@require("books")
@never_cache
def books(request: YardRequest) -> HttpResponse:
    """Sums by boat, order and person of a range of days: ?from=2027-05-01&to=2027-05-31, both counted."""
    asked = asked_in(request.GET, today_of(request))
    status = 422 if asked.wrong else 200
    return render(
        request,
        "seasons/books.html",
        {"page": books_page(asked), "asked": asked, "sheets": [(name, title_of(name)) for name in SHEETS]},
        status=status,
    )


@require("books")
@never_cache
def books_csv(request: YardRequest, name: str) -> HttpResponse:
    """One sheet of the range."""
    asked = asked_in(request.GET, today_of(request))
    if name not in SHEETS or asked.wrong:
        raise Http404(asked.wrong or _("There is no such sheet."))
    table = tables_of(books_of(asked.days), {name: None})[name]
    return _file(write_csv(table), f"{name}-{asked.first}-to-{asked.last}.csv", CSV)


@require("books")
@never_cache
def books_xlsx(request: YardRequest, name: str) -> HttpResponse:
    """All sheets of the range in one file, or one of them."""
    asked = asked_in(request.GET, today_of(request))
    if (name != ALL and name not in SHEETS) or asked.wrong:
        raise Http404(asked.wrong or _("There is no such sheet."))
    tables = tables_of(books_of(asked.days), SHEETS if name == ALL else {name: None})
    data = write_book(list(tables.values()))
    return _file(data, f"{name}-{asked.first}-to-{asked.last}.xlsx", XLSX)


def _file(data: bytes, name: str, kind: str) -> HttpResponse:
    disposition = content_disposition_header(as_attachment=True, filename=name) or "attachment"
    return HttpResponse(data, content_type=kind, headers={"Content-Disposition": disposition})
