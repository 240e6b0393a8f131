"""Closing a day's work, adding to it, and undoing it."""

from __future__ import annotations

from datetime import timedelta

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase, JsonResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from yard.queries.plans import posted_plan
from yard.services.close_day import AlreadyClosed, add_to_day, close_day, closed_with, closing_of, undo_closing
from yard.services.happenings import EventRefused
from yard.web.access import require
from yard.web.days.dates import day_in_address
from yard.web.days.reading import read_day
from yard.web.phone.closing import Sheet, read_sheet, what_happened, what_was_added
from yard.web.phone.day import phone_day
from yard.web.phone.notes import notes_of
from yard.web.request import YardRequest, who


@require("close_day", post="close_day")
@never_cache
def day_close(request: YardRequest, day: str) -> HttpResponseBase:
    """The form of the day; closed already: who did so, what is missing, and tomorrow.

    The form's script, which keeps it without signal, is answered in JSON as a tap is; a plain form by the page.
    """
    sent = request.POST if request.method == "POST" else QueryDict()
    sheet = read_sheet(day_in_address(day), sent, now=request.yard_now)
    if request.method != "POST":
        return _show(request, sheet)
    says, refused = _close(request, sheet)
    if not request.accepts("text/html"):
        plan = posted_plan()
        return JsonResponse({"refused": refused, "says": says, "plan": plan.number if plan else None})
    if not sheet.errors:
        (messages.error if refused else messages.success)(request, says)
    return _show(request, sheet) if refused else redirect("day_close", day=day)


def _close(request: YardRequest, sheet: Sheet) -> tuple[str, bool]:
    """What became of the form, in words, and whether it was refused; one that was sent before is told as then."""
    if (before := closed_with(sheet.form_key)) is not None:
        return f"{before.says}.", False
    what = what_happened(sheet, request.yard)
    if what is None:
        return " ".join(sheet.errors.values()), True
    now = request.yard_now
    try:
        closing = close_day(what, form_key=sheet.form_key, by=who(request), now=now, real_now=timezone.now())
    except (AlreadyClosed, EventRefused) as error:
        return str(error), True
    return f"{closing.says}.", False


@require(post="close_day")
def day_close_add(request: YardRequest, day: str) -> HttpResponseBase:
    sheet = read_sheet(day_in_address(day), request.POST, now=request.yard_now)
    what = what_was_added(sheet)
    if what is None:
        return _show(request, sheet)
    try:
        add_to_day(what, form_key=sheet.form_key, by=who(request), now=request.yard_now)
        messages.success(request, _("Added to the day."))
    except EventRefused as error:
        messages.error(request, str(error))
    return redirect("day_close", day=day)


@require(post="close_day")
def day_close_undo(request: YardRequest, day: str) -> HttpResponseBase:
    closing = closing_of(day_in_address(day))
    try:
        if closing is None:
            raise EventRefused(_("This day is not closed."))
        undo_closing(closing, by=who(request), now=request.yard_now)
        messages.success(request, _("The day is open again: every job is as it was before it was closed."))
    except EventRefused as error:
        messages.error(request, str(error))
    return redirect("day_close", day=day)


def _show(request: YardRequest, sheet: Sheet) -> HttpResponse:
    plan, tomorrow = posted_plan(), sheet.day + timedelta(days=1)
    closing = closing_of(sheet.day)
    context = {
        "plan": plan,
        "day": sheet.day,
        "sheet": sheet,
        "closing": closing,
        "proposal": closing.event.proposals.order_by("-asked_at").first() if closing else None,
        "notes": notes_of(sheet.day) if closing else None,
        "tomorrow": phone_day(read_day(request.yard, plan, tomorrow, now=request.yard_now), None, None),
    }
    return render(request, "phone/close.html", context, status=422 if sheet.errors else 200)
