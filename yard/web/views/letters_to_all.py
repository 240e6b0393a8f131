"""One reviewed message to many: for a storm, and winter's question with how full the coming weeks are."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache

from yard.day_names import said
from yard.models import Letter, Owner, Season
from yard.notices.template import TemplateFault
from yard.queries.plans import posted_plan
from yard.queries.winter import asked_owners, coming_seasons
from yard.services.letters.release import ReleaseRefused
from yard.services.letters.to_all import can_be_written_to, release_to_all, storm_list, written_to
from yard.services.owner_pages.winter import (
    asked_by_word,
    open_next,
    season_before,
    without_successor,
)
from yard.tasks import ask_to_list_last_year
from yard.web.access import found, require
from yard.web.letters.to_all import ToAllForm, winter_facts, winter_rows
from yard.web.letters.winter import season_of, winter_page
from yard.web.request import YardRequest, who
from yard.web.units import local


@require("tell_owner", post="tell_owner")
@never_cache
def storm(request: YardRequest) -> HttpResponseBase:
    """One message to every owner; it is looked at before it is released."""
    everybody = storm_list()
    to = [each for each in everybody if can_be_written_to(each.owner)]
    to_call = [each.owner for each in everybody if not can_be_written_to(each.owner)]
    initial = {"to": [each.owner.pk for each in to]}
    form = ToAllForm(request.POST if request.method == "POST" else None, to=to, warns=True, initial=initial)
    shown = None
    if form.is_valid():
        message, chosen = form.message(Letter.Kind.STORM), form.chosen(to)
        try:
            shown = written_to(chosen[0], message, request.yard, by=who(request)) if chosen else None
            if "release" in request.POST:
                rows = release_to_all(chosen, message, request.yard, by=who(request), now=request.yard_now)
                messages.success(
                    request,
                    ngettext(
                        "Released to {n} owner: they go out now.", "Released to {n} owners: they go out now.", len(rows)
                    ).format(n=len(rows)),
                )
                return redirect("letters")
            if not chosen:
                form.add_error("to", _("Nobody is ticked: tick those who are to have it."))
        except (ReleaseRefused, TemplateFault) as refused:
            form.add_error(None, str(refused))
    context = {"form": form, "to": to, "shown": shown, "to_call": to_call}
    return render(request, "letters/storm.html", context, status=422 if form.errors else 200)


@require("tell_owner")
@never_cache
def winter(request: YardRequest) -> HttpResponse:
    """The same again? Who is asked, who answered, and how full the weeks are."""
    today = local(request.yard_now).date()
    seasons = [season for season in coming_seasons(today) if season_before(season) is not None]
    season = season_of(seasons, request.GET.get("season", ""))
    page = winter_page(season, posted_plan(), request.yard, now=request.yard_now) if season is not None else None
    context = {"seasons": seasons, "season": season, "page": page, "to_open": without_successor(today=today)}
    return render(request, "letters/winter.html", context)


@require(post="order")
def winter_open(request: YardRequest, pk: int) -> HttpResponseBase:
    """The season a year after one, so that its orders can be asked about again."""
    season = open_next(found(Season.objects.all(), pk=pk))
    messages.success(
        request,
        _("{season} is open, {first} to {last}.").format(
            season=season, first=said(season.starts_on, "d M Y"), last=said(season.ends_on, "d M Y")
        ),
    )
    return redirect(f"{_address()}?season={season.pk}")


@require(post="order")
def winter_list(request: YardRequest, pk: int) -> HttpResponseBase:
    """Put last year's orders on the list, each with its unconfirmed copy."""
    season = _season(pk)
    ask_to_list_last_year(season.pk, who(request).pk)
    messages.success(
        request,
        _("The worker lists them now, unconfirmed. Open {season} again in a minute to see how far it is.").format(
            season=season
        ),
    )
    return redirect(f"{_address()}?season={season.pk}")


@require("tell_owner", post="tell_owner")
@never_cache
def winter_ask(request: YardRequest, pk: int) -> HttpResponseBase:
    """The letters that ask, or ask again: looked at, then released."""
    season, chase = _season(pk), request.GET.get("again") == "1"
    today = local(request.yard_now).date()
    rows = [row for row in winter_rows(asked_owners(season), request.yard, now=request.yard_now) if row.due]
    due = [row for row in rows if row.chase == chase and can_be_written_to(row.asked.owner)]
    to = [winter_facts(row.asked, season, request.yard, today=today) for row in due]
    headline = (
        _("{season}: the same again?").format(season=season)
        if not chase
        else _("{season}: may we hear from you?").format(season=season)
    )
    initial = {"headline": headline, "to": [each.owner.pk for each in to]}
    form = ToAllForm(request.POST if request.method == "POST" else None, to=to, warns=False, initial=initial)
    first, shown = next(iter(to), None), None
    kind = Letter.Kind.CHASE if chase else Letter.Kind.WINTER
    try:
        if form.is_valid():
            message, chosen = form.message(kind, season), form.chosen(to)
            if "release" in request.POST:
                sent = release_to_all(chosen, message, request.yard, by=who(request), now=request.yard_now)
                messages.success(
                    request,
                    ngettext(
                        "Released to {n} owner: they go out now.", "Released to {n} owners: they go out now.", len(sent)
                    ).format(n=len(sent)),
                )
                return redirect(f"{_address()}?season={season.pk}")
            first = next(iter(chosen), None)
            shown = written_to(first, message, request.yard, by=who(request)) if first is not None else None
    except (ReleaseRefused, TemplateFault) as refused:
        form.add_error(None, str(refused))
    context = {"form": form, "to": to, "season": season, "chase": chase, "shown": shown, "example": first}
    return render(request, "letters/winter_ask.html", context, status=422 if form.errors else 200)


@require(post="tell_owner")
def winter_asked(request: YardRequest, pk: int, owner: int) -> HttpResponseBase:
    """An owner without an e-mail address was asked on the telephone."""
    season, asked = _season(pk), found(Owner.objects.all(), pk=owner)
    count = asked_by_word(asked, season, by=who(request), now=request.yard_now)
    messages.success(
        request,
        ngettext(
            "Noted: {owner} was asked about {n} order.", "Noted: {owner} was asked about {n} orders.", count
        ).format(owner=asked, n=count),
    )
    return redirect(f"{_address()}?season={season.pk}")


def _season(pk: int) -> Season:
    return found(Season.objects.filter(closed_at=None), pk=pk)


def _address() -> str:
    return reverse("letters_winter")
