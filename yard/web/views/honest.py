"""How honest were we? And an estimate accepted."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.formats import number_format
from django.utils.translation import gettext as _

from yard.models import PackageWay, StaleRow
from yard.services.estimates import EstimateRefused, accept_estimate
from yard.web.access import found, require
from yard.web.honest.page import honest_page
from yard.web.request import YardRequest, who


@require("see_owners")
def honest(request: YardRequest) -> HttpResponse:
    return render(request, "honest/page.html", {"page": honest_page(request.yard)})


@require(post="settings")
def estimate_accepted(request: YardRequest, pk: int) -> HttpResponseBase:
    """Write suggested hours into a package; orders that are taken keep theirs."""
    way = found(PackageWay.objects.select_related("job"), pk=pk)
    seen, suggested = (request.POST.get(name, "") for name in ("seen", "suggested"))
    try:
        minutes = [int(text) if text.isdecimal() else -1 for text in (seen, suggested)]
        accept_estimate(way, seen_min=minutes[0], suggested_min=minutes[1], by=who(request), now=request.yard_now)
        messages.success(
            request,
            _("{job}: new orders take {hours} h. Orders already taken keep theirs.").format(
                job=way.job.name, hours=number_format(f"{minutes[1] / 60:g}")
            ),
        )
    except (StaleRow, EstimateRefused) as refused:
        words = str(refused) if isinstance(refused, EstimateRefused) else _("The estimate was changed meanwhile.")
        messages.error(request, _("Nothing was changed. {why}").format(why=words))
    return redirect("honest")
