"""The forecast: how old it is, whose, what it shuts; whom the worker asks; and suggested closures decided on."""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from yard.models import Closure, ForecastSource
from yard.services.fetch_forecast import READERS, ForecastRefused, choose_provider, due_at, keep_file
from yard.services.happenings import EventRefused
from yard.services.proposals import NothingPosted, ask_for_proposal
from yard.services.suggest_closures import accept_closure, drop_closure, suggest_closures, suggested_closures
from yard.tasks import come_again_for_forecast
from yard.web.access import found, require
from yard.web.keeping.desk import seen_version
from yard.web.request import YardRequest, who
from yard.web.weather.page import forecast_page

FORMATS = {
    "csv": gettext_lazy("our own CSV"),
    "nws": gettext_lazy("National Weather Service"),
    "metno": gettext_lazy("MET Norway"),
    "open_meteo": "Open-Meteo",
}


@require("view_plan", post="plan")
def forecast(request: YardRequest) -> HttpResponseBase:
    """The newest forecast by day and kind of work; bring one in as a file, or say whom the worker asks."""
    if request.method == "POST":
        _keep(request)
        return redirect("forecast")
    source = ForecastSource.objects.filter(pk=1).first()
    context = {
        "page": forecast_page(request.yard, now=request.yard_now),
        "source": source,
        "due": due_at(source, request.yard.time_zone, real_now=timezone.now()) if source else None,
        "providers": ForecastSource.Provider.choices,
        "formats": [(key, FORMATS[key]) for key in FORMATS if key in READERS],
        "suggested": suggested_closures(request.yard_now),
    }
    return render(request, "weather/forecast.html", context)


def _keep(request: YardRequest) -> None:
    now = timezone.now()
    if "provider" in request.POST:
        provider = request.POST["provider"]
        choose_provider(provider if provider in ForecastSource.Provider.values else "", real_now=now)
        come_again_for_forecast()
        messages.success(request, _("The worker asks from now on.") if provider else _("Nobody is asked any more."))
        return
    sent = request.FILES.get("file")
    if sent is None:
        messages.error(request, _("Choose a file first."))
        return
    try:
        row, new = keep_file(
            request.POST.get("format", ""), sent.read(), now=request.yard_now, folder=settings.DATA_DIR
        )
    except ForecastRefused as error:
        messages.error(request, str(error))
        return
    made = suggest_closures(real_now=now)
    kept = _("{hours} hours kept.") if new else _("{hours} hours were kept already.")
    words = [kept.format(hours=len(row.rows))]
    if made:
        suggested = ngettext("{n} closure is suggested.", "{n} closures are suggested.", len(made))
        words.append(suggested.format(n=len(made)))
    messages.success(request, " ".join(words))


@require(post="plan")
def closure_decide(request: YardRequest, pk: int, decision: str) -> HttpResponse:
    """Accept or drop a suggestion; accepting asks for a proposal."""
    closure, seen = found(Closure.objects.all(), pk=pk), seen_version(request)
    try:
        match decision:
            case "accept":
                event = accept_closure(closure, seen_version=seen, by=who(request), now=request.yard_now)
                made = ask_for_proposal([event], by=who(request), now=timezone.now())
                return redirect("proposal", pk=made.pk)
            case "drop":
                drop_closure(closure, seen_version=seen, by=who(request), now=request.yard_now)
                messages.success(request, _("Dropped: the day stays open."))
            case _:
                raise Http404
    except EventRefused as error:
        messages.error(request, str(error))
    except NothingPosted as error:
        messages.success(request, _("It is closed. {error}").format(error=error))
    return redirect("proposal_new")
