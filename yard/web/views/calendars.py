"""Calendars: the feed itself, one's own addresses, one event to keep, and a list on paper for an owner."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache

from yard.models import FeedEntry, Owner
from yard.queries.feeds import addresses_of, feed_entries_for
from yard.services.feeds.addresses import AddressRefused, change_address, change_shows, make_address
from yard.services.feeds.files import events_file
from yard.services.feeds.reading import up_to_date_state
from yard.web.access import found, may, public, require
from yard.web.calendars.answering import CONTENT_TYPE, answer_feed
from yard.web.calendars.forms import CalendarForm, PartsForm
from yard.web.calendars.page import calendar_page, owners_rows, rights_of
from yard.web.request import YardRequest

DONE = {
    "pause": gettext_lazy("It is paused: its readers see only that."),
    "resume": gettext_lazy("It goes on."),
    "rename": gettext_lazy("It has its new name."),
    "replace": gettext_lazy("Here is the new address. Whoever has the old one reads that it is withdrawn."),
    "withdraw": gettext_lazy("It is withdrawn. Its readers see that for a month, then nothing."),
}


@public(yard=False)
def feed(request: YardRequest, token: str) -> HttpResponse:
    return answer_feed(request, token)


@require("own_account", post="own_account")
@never_cache
def calendars(request: YardRequest) -> HttpResponseBase:
    """One's own calendars, and for a planner everybody's; a new one, of what `shows` in the address says."""
    rights = rights_of(request)
    shows = {"shows": request.GET.get("shows", "")}
    form = CalendarForm(_sent(request), rights=rights, yard=request.yard, initial=shows)
    if form.is_valid():
        try:
            address = make_address(form.wish(), by=rights, now=timezone.now())
            return redirect("calendar", pk=address.pk)
        except AddressRefused as refused:
            form.add_error(None, str(refused))
    others = addresses_of(None).exclude(made_by=rights.user) if rights.plans else ()
    context = {"form": form, "own": addresses_of(rights.user), "others": others}
    return render(request, "calendars/list.html", context, status=422 if form.errors else 200)


def _sent(request: YardRequest) -> QueryDict | None:
    return request.POST if request.method == "POST" else None


@require("own_account", post="own_account")
@never_cache
def calendar(request: YardRequest, pk: int) -> HttpResponseBase:
    """One calendar of one's own: its address, what it shows, who read it last; POST changes what it shows."""
    rights, yard = rights_of(request), request.yard
    address = found(addresses_of(rights.user), pk=pk)
    form = PartsForm(_sent(request), rights=rights, yard=yard, initial=PartsForm.as_it_is(address, yard))
    if form.is_valid():
        try:
            change_shows(address, form.shown(), by=rights, now=timezone.now())
            messages.success(request, _("Its readers see that at their next look."))
            return redirect("calendar", pk=address.pk)
        except AddressRefused as refused:
            form.add_error(None, str(refused))
    context = calendar_page(address, form, request)
    return render(request, "calendars/calendar.html", context, status=422 if form.errors else 200)


@require(post="own_account")
def calendar_change(request: YardRequest, pk: int, action: str) -> HttpResponseBase:
    """Somebody else's calendar can only be withdrawn, and only by a planner."""
    rights = rights_of(request)
    address = found(addresses_of(None if rights.plans and action == "withdraw" else rights.user), pk=pk)
    try:
        address = change_address(address, action, now=timezone.now(), name=request.POST.get("name", ""))
        messages.success(request, DONE[action])
    except AddressRefused as refused:
        messages.error(request, str(refused))
    still_mine = address.made_by_id == rights.user.pk and address.withdrawn_at is None
    return redirect("calendar", pk=address.pk) if still_mine else redirect("calendars")


@require("view_plan")
def feed_event(request: YardRequest, uid: UUID) -> HttpResponse:
    """One event as a file; owners' events and deadlines for those who see owners."""
    rows = feed_entries_for(sees_owners=may(request.user, "see_owners"))
    return _file([found(rows, uid=uid)], request)


@require("view_plan")
def job_events(request: YardRequest, pk: int) -> HttpResponse:
    """One job as a file: its visit, or its visits where work pauses overnight."""
    up_to_date_state(timezone.now())
    rows = list(feed_entries_for(sees_owners=False).filter(job=pk, cancelled_at=None))
    if not rows:
        raise Http404("no plan names this job")
    return _file(rows, request)


def _file(entries: list[FeedEntry], request: YardRequest) -> HttpResponse:
    body = events_file(entries, request.yard)
    response = HttpResponse(body, content_type=CONTENT_TYPE)
    response.headers["Content-Disposition"] = f'attachment; filename="{entries[0].uid}.ics"'
    return response


@require("see_owners")
@never_cache
def owner_list(request: YardRequest, pk: int) -> HttpResponse:
    """What is planned for an owner's boats, to print or read out."""
    owner, now = found(Owner.objects.all(), pk=pk), request.yard_now
    up_to_date_state(timezone.now())
    context = {"owner": owner, "rows": owners_rows(owner, now=now), "yard": request.yard}
    return render(request, "calendars/owner.html", context)
