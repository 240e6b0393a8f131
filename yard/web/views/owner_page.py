"""An owner's own page at its private address: read, and answered on."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from yard.models import OwnerPage
from yard.services.owner_pages.addresses import find_page
from yard.services.owner_pages.answers import AnswerRefused, take_answer
from yard.web.access import public
from yard.web.boats.words import dial
from yard.web.owner_pages.answers import AnswerForm
from yard.web.owner_pages.door import asks_too_often, guesses_too_often, too_often, unseen
from yard.web.owner_pages.page import owners_page
from yard.web.owner_pages.runs import KIND, own_runs, take_run
from yard.web.request import YardRequest
from yard.web.units import local


@public(post=True)
def owner_page(request: YardRequest, token: str) -> HttpResponseBase:
    """GET shows the page; POST keeps one answer as a proposal. A wrong or withdrawn address is the same 404."""
    if asks_too_often(token):
        return unseen(too_often())
    page = find_page(token, real_now=timezone.now())
    if page is None:
        if guesses_too_often(request):
            return unseen(too_often())
        return unseen(render(request, "owner/gone.html", _phone(request), status=404))
    trouble = ""
    if request.method == "POST":
        runs = request.POST.get("kind") == KIND
        trouble = take_run(page, request.POST, now=request.yard_now) if runs else _take(request, page)
        if not trouble:
            messages.success(request, _("Thank you. We look at it, and answer here."))
            return unseen(redirect("owner_page", token=token))
    shown = owners_page(page, request.yard, now=request.yard_now)
    context = {
        "runs": own_runs(page, now=request.yard_now),
        "page": shown,
        "owner": page.owner,
        "trouble": trouble,
    } | _phone(request)
    answer: HttpResponse = render(request, "owner/page.html", context, status=422 if trouble else 200)
    return unseen(answer)


def _phone(request: YardRequest) -> dict[str, str]:
    return {"yard_phone": request.yard.phone, "yard_dial": dial(request.yard.phone)}


def _take(request: YardRequest, page: OwnerPage) -> str:
    """What is wrong with the answer, "" where it was taken."""
    form = AnswerForm(request.POST)
    if not form.is_valid():
        return form.trouble
    try:
        take_answer(page.owner, form.said(), today=local(request.yard_now).date(), now=request.yard_now)
    except AnswerRefused as refused:
        return str(refused)
    return ""
