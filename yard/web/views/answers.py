"""Answers from owners' pages: looked at, then accepted or not taken over."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from yard.models import OwnerAnswer, StaleRow
from yard.queries.owner_pages import answers_decided, answers_waiting
from yard.services.order_package import OrderRefused
from yard.services.owner_pages.answers import AnswerRefused, accept, decline
from yard.services.say_fact import FactRefused
from yard.services.whereabouts import WhereRefused
from yard.web.access import found, require
from yard.web.owner_pages.answers import AnswerRow
from yard.web.request import YardRequest, who
from yard.web.units import local


@require("see_owners")
@never_cache
def answers(request: YardRequest) -> HttpResponse:
    """What owners answered: nothing of it is a fact before it is accepted."""
    waiting = [AnswerRow.of(row) for row in answers_waiting()]
    decided = [AnswerRow.of(row) for row in answers_decided()]
    return render(request, "letters/answers.html", {"waiting": waiting, "decided": decided})


@require(post="edit_facts")
def answer_decided(request: YardRequest, pk: int) -> HttpResponseBase:
    """Accept an answer, or do not take it over; the reply stands on the owner's page."""
    row, now = found(OwnerAnswer.objects.all(), pk=pk), request.yard_now
    action, reply = request.POST.get("action", ""), request.POST.get("reply", "")
    if action not in ("accept", "decline"):
        raise Http404("no such action")
    try:
        if action == "accept":
            words = accept(row, reply=reply, today=local(now).date(), by=who(request), now=now)
            messages.success(request, _("Accepted. {words}").format(words=words))
        else:
            decline(row, reply=reply, by=who(request), now=now)
            messages.success(request, _("Not taken over; your reply stands on the owner's page."))
    except StaleRow:
        messages.error(request, _("Nothing was changed: somebody decided before, or changed it meanwhile."))
    except (AnswerRefused, FactRefused, OrderRefused, WhereRefused, ValidationError) as refused:
        words = " ".join(refused.messages) if isinstance(refused, ValidationError) else str(refused)
        messages.error(request, _("Nothing was changed. {why}").format(why=words))
    return redirect("answers")
