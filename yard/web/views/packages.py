"""Work packages: the list, and one as a network with its table."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from yard.models import Package
from yard.queries.packages import packages_in_use
from yard.web.access import found, require
from yard.web.orders.packages import package_page


@require("view_plan")
def packages(request: HttpRequest) -> HttpResponse:
    return render(request, "packages/list.html", {"packages": packages_in_use()})


@require("view_plan")
def package(request: HttpRequest, pk: int) -> HttpResponse:
    """The picture shows the usual options, or those that the address names (?chosen=1&option=...)."""
    row = found(Package.objects.all(), pk=pk)
    known = set(row.options.values_list("key", flat=True))
    asked = frozenset(request.GET.getlist("option")) & known if "chosen" in request.GET else None
    return render(request, "packages/package.html", {"page": package_page(row, asked)})
