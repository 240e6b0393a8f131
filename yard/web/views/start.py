"""A new yard's first five minutes."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from yard.models import StaleRow, YardSettings
from yard.queries.first_steps import first_steps
from yard.services.usual_yard import REASON, USUAL_HOURS, bring_in_packages, bring_in_places
from yard.services.yard_settings import Change, SettingRefused, save_settings
from yard.web.access import require
from yard.web.keeping.desk import writer_of
from yard.web.request import YardRequest, who
from yard.web.start.form import StartForm
from yard.web.start.page import floating_days
from yard.web.start.steps import steps_of

KEPT = ("name", "units", "time_zone", "latitude", "longitude", "tide_station", "ramp_toe_m_above_datum")


@require("settings", post="settings")
def start(request: YardRequest) -> HttpResponse:
    """Her floating days for what is typed, nothing saved; sent, the yard is kept as typed."""
    sent = request.POST if request.method == "POST" else request.GET if "place" in request.GET else None
    form = StartForm(sent)
    there = first_steps()
    shown = floating_days(form, now=request.yard_now) if form.is_valid() else None
    if request.method == "POST" and form.is_valid() and (there.tide or _kept(request, form)):
        return redirect("start")
    context = {"form": form, "shown": shown, "there": there, "steps": steps_of(there)}
    return render(request, "start/page.html", context, status=422 if form.errors else 200)


def _kept(request: YardRequest, form: StartForm) -> bool:
    """Whether the yard is kept now; else the form says why not."""
    yard = form.yard(form.cleaned_data["name"].strip())
    if not yard.name:
        form.add_error("name", _("Say what the yard is called."))
        return False
    values = {key: getattr(yard, key) for key in KEPT} | {"trailer_height_m": yard.trailer_height_m}
    old = YardSettings.objects.filter(pk=1).first()
    change = Change(who(request), request.yard_now, old.version if old else 0, _(REASON))
    try:
        save_settings(values, shop=None if first_steps().hours else USUAL_HOURS, change=change)
    except SettingRefused as refused:
        form.add_error(None, str(refused))
        return False
    except StaleRow:
        form.add_error(None, _("Somebody else entered the yard meanwhile: look at the settings."))
        return False
    messages.success(
        request, _("{yard} is kept. Everything else can be entered when it is needed.").format(yard=yard.name)
    )
    return True


@require(post="settings")
def start_bring_in(request: YardRequest, what: str) -> HttpResponse:
    """The usual packages or places; what the yard has stays as it is."""
    if what not in ("packages", "places"):
        raise Http404("neither packages nor places")
    if what == "packages":
        came = bring_in_packages(writer=writer_of(request))
        messages.success(
            request,
            _("{packages} packages are on file, with {skills} skills.").format(
                packages=came.packages, skills=came.skills
            ),
        )
    else:
        messages.success(
            request,
            _("{n} places are on file: set their limits.").format(n=bring_in_places(writer=writer_of(request))),
        )
    return redirect("start")
