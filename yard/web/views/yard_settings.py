"""The yard's settings, its tide beside a typed table, its words for places, and its weather allowance."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.models import User
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from yard.models import Place, StaleRow, YardSettings
from yard.services import yard_settings as service
from yard.services.read_problem.water import FIELD, RAMP
from yard.services.read_problem.weather import computed_table
from yard.services.yard_settings import Change, SettingRefused
from yard.tides import TideError
from yard.web.access import require
from yard.web.request import YardRequest, number_in
from yard.web.settings.allowance import allowance_page, cell_of, figure_of, ground_of
from yard.web.settings.compare import TableUnread, compare
from yard.web.settings.form import SettingsForm
from yard.web.settings.page import settings_page
from yard.web.units import local

STALE = gettext_lazy(
    "Somebody changed the settings meanwhile. Nothing was saved: look at the page as it is now, then try again."
)


def _change(request: YardRequest, version: Any, reason: str) -> Change:
    user = request.user if isinstance(request.user, User) else None
    seen = number_in(str(version))
    return Change(user, request.yard_now, seen, reason)


def _year(request: YardRequest) -> int:
    return local(request.yard_now).year


@require("settings", post="settings")
def yard_settings(request: YardRequest) -> HttpResponse:
    yard = YardSettings.objects.filter(pk=1).first() or YardSettings(name="")
    form = SettingsForm(request.POST or None, yard=yard)
    if form.is_valid():
        try:
            change = _change(request, form.cleaned_data["version"], _("settings changed"))
            holidays = form.cleaned_data["holidays"]
            service.save_settings(form.values(), shop=form.shop(), holidays=holidays, change=change)
            messages.success(request, _("The settings are saved. Plan the season again for them to count."))
            return redirect("yard_settings")
        except SettingRefused as refused:
            for name, text in refused.faults.items():
                form.add_error(name if name in form.fields else None, text)
        except StaleRow:
            form.add_error(None, STALE)
    return render(request, "settings/page.html", settings_page(form), status=422 if form.errors else 200)


@require(post="settings")
def yard_settings_back(request: YardRequest, history_id: int) -> HttpResponse:
    """The way back: settings as they were after an earlier change."""
    change = _change(request, request.POST.get("version"), _("as they were"))
    try:
        service.put_settings_back(history_id, change=change)
        messages.success(request, _("The settings are as they were then. This too is in their history."))
    except YardSettings.DoesNotExist as missing:
        raise Http404 from missing
    except SettingRefused as refused:
        messages.error(request, _("Nothing was changed. {why}").format(why=refused))
    except StaleRow:
        messages.error(request, STALE)
    return redirect("yard_settings")


@require(post="settings")
def place_words(request: YardRequest) -> HttpResponse:
    """The yard's own names for its places."""
    rows = Place.objects.filter(archived=False).values_list("pk", flat=True)
    names = {
        pk: (request.POST[f"name-{pk}"].strip(), request.POST.get(f"short-{pk}", "").strip())
        for pk in rows
        if f"name-{pk}" in request.POST
    }
    try:
        seen = {pk: seen for pk in names if (seen := number_in(request.POST.get(f"version-{pk}", "")))}
        count = service.name_places(names, seen=seen, change=_change(request, 0, _("named by the yard")))
        messages.success(request, ngettext("{n} place renamed.", "{n} places renamed.", count).format(n=count))
    except SettingRefused as refused:
        messages.error(request, _("Nothing was saved. {why}").format(why=refused))
    except StaleRow as stale:
        messages.error(request, _("Nothing was saved: {stale}").format(stale=stale))
    return redirect("yard_settings")


@require("settings")
def tide_compare(request: YardRequest) -> HttpResponse:
    """High waters typed off an official table beside ours; looks only, saves nothing."""
    where = FIELD if request.GET.get("where") == FIELD else RAMP
    text = request.GET.get("table", "")
    context: dict[str, Any] = {"where": where, "result": None, "trouble": ""}
    if text.strip():
        try:
            context["result"] = compare(text, request.yard, where)
        except (TableUnread, TideError) as error:
            context["trouble"] = str(error)
    return render(request, "settings/compare.html", context | {"table": text})


@require("settings", post="settings")
def allowance(request: YardRequest) -> HttpResponse:
    """The table of weather allowances; a POST sets one cell, or takes the yard's own figure back."""
    yard: YardSettings = request.yard
    if request.method == "POST":
        _set_cell(request, yard)
        return redirect("allowance")
    page = allowance_page(yard, _year(request))
    return render(request, "settings/allowance.html", {"page": page, "yard_row": yard})


def _set_cell(request: YardRequest, yard: YardSettings) -> None:
    typed = "" if "reset" in request.POST else request.POST.get("value", "").strip()
    try:
        cell = cell_of(request.POST.get("cell", ""))
        value = figure_of(cell, typed) if typed else None
    except ValueError:
        messages.error(request, _("Nothing was saved: write hours as 6.5, or a share as 63."))
        return
    try:
        change = _change(request, request.POST.get("version"), _("weather allowance changed"))
        service.set_allowance_cell(cell, value, computed=computed_table(ground_of(yard, _year(request))), change=change)
        messages.success(request, _("The allowance is set.") if typed else _("The computed figure is back."))
    except SettingRefused as refused:
        messages.error(request, str(refused))
    except StaleRow:
        messages.error(request, STALE)
