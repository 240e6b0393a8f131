"""What is asked of a plan: its load, how good it is, ways back for late boats, what if."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from yard.models import Plan, WhatIf
from yard.queries.plans import posted_plan
from yard.services import what_if as deciding
from yard.services.back_search import ask_ways_back, facts_count
from yard.services.how_good import ask_how_good
from yard.services.plan_runs import progress
from yard.services.read_problem import YardNotReady
from yard.services.what_if import WhatIfRefused, ask_what_if
from yard.web.access import found, require
from yard.web.answers.how_good import good_page
from yard.web.answers.load import load_page
from yard.web.answers.ways_back import ways_page
from yard.web.answers.what_if_form import FORMS, WhatIfForm, all_forms
from yard.web.answers.what_if_page import what_if_page
from yard.web.request import YardRequest, asks_for_part, who
from yard.web.units import local

KEPT_SEASONS = Plan.objects.exclude(problem="").exclude(plan="")
WHAT_IFS = WhatIf.objects.select_related("asked_by", "decided_by", "based_on", "run").defer(
    "problem", "based_on__problem", "based_on__plan"
)
RECENT = 30


@require("view_plan")
def plan_load(request: YardRequest, pk: int) -> HttpResponse:
    """Hours, places, berths and tides used of those there are."""
    plan = found(KEPT_SEASONS, pk=pk)
    return render(request, "answers/load.html", {"plan": plan, "page": load_page(plan)})


@require("view_plan", post="plan")
def plan_how_good(request: YardRequest, pk: int) -> HttpResponse:
    """The plan beside what is proved of every plan; a press has the worker prove more."""
    plan = found(KEPT_SEASONS, pk=pk)
    if request.method == "POST":
        ask_how_good(plan, by=who(request), now=timezone.now())
        return redirect("plan_how_good", pk=pk)
    page = good_page(plan, now=timezone.now())
    answer = render(request, "answers/how_good.html", {"plan": plan, "page": page})
    if asks_for_part(request) and not page.going:
        answer["HX-Refresh"] = "true"
    return answer


@require("view_plan", post="tell_owner")
def ways_back(request: YardRequest) -> HttpResponse:
    """Late boats, why, and what would bring each back; a press has the worker try."""
    if request.method == "POST":
        if ask_ways_back(by=who(request), now=timezone.now()) is None:
            messages.error(request, _("No plan is posted yet: a boat can be late only by a plan."))
        return redirect("ways_back")
    plan = posted_plan()
    page = ways_page(plan, now=timezone.now())
    answer = render(request, "answers/ways_back.html", {"plan": plan, "page": page})
    if asks_for_part(request) and not page.going:
        answer["HX-Refresh"] = "true"
    return answer


@require("view_plan", post="plan")
def what_ifs(request: YardRequest) -> HttpResponse:
    """Ask what if, and what was asked before."""
    sent, form = request.POST.get("form", ""), None
    today = local(request.yard_now).date()
    if request.method == "POST" and sent in FORMS:
        form = FORMS[sent](request.POST, prefix=sent, today=today)
        if form.is_valid() and (asked := _ask(request, form)) is not None:
            return redirect("what_if", pk=asked.pk)
    context = {"forms": all_forms(today, sent, form), "sent": sent, "rows": WHAT_IFS.defer("plan", "figures")[:RECENT]}
    return render(request, "answers/what_ifs.html", context, status=422 if form else 200)


def _ask(request: YardRequest, form: WhatIfForm) -> WhatIf | None:
    key = form.cleaned_data["form_key"]
    try:
        return ask_what_if(change=form.change, says=form.says, form_key=key, by=who(request), now=timezone.now())
    except WhatIfRefused as refused:
        form.add_error(None, str(refused))
    return None


@require("view_plan")
def what_if(request: YardRequest, pk: int) -> HttpResponse:
    """One what-if: how far it is, then both plans side by side."""
    row = found(WHAT_IFS, pk=pk)
    told = progress(row.run, now=timezone.now()) if row.run else None
    page = what_if_page(row)
    stale = _("Facts have changed since it was planned: ask again before you rely on it.")
    fresh = not page or row.facts_revision == facts_count()
    context = {"row": row, "told": told, "page": page, "stale": "" if fresh else stale}
    answer = render(request, "answers/what_if.html", context)
    if asks_for_part(request):
        if row.state != WhatIf.State.ASKED or not (told and told.active):
            answer["HX-Refresh"] = "true"
        answer["HX-Reselect"] = "#run"
    return answer


@require(post="plan")
def what_if_keep(request: YardRequest, pk: int) -> HttpResponse:
    return _decide(request, pk, lambda row: deciding.keep(row, by=who(request), now=request.yard_now), _("It is kept."))


@require(post="plan")
def what_if_throw_away(request: YardRequest, pk: int) -> HttpResponse:
    return _decide(
        request,
        pk,
        lambda row: deciding.throw_away(row, by=who(request), now=request.yard_now),
        _("Thrown away; its figures stay for the record."),
    )


@require(post="plan")
def what_if_draft(request: YardRequest, pk: int) -> HttpResponse:
    return _decide(
        request,
        pk,
        lambda row: deciding.make_draft(row, by=who(request), now=request.yard_now),
        _("A draft is made of it; the posted plan stays until somebody posts another."),
    )


def _decide(request: YardRequest, pk: int, act: Callable[[WhatIf], object], done: str) -> HttpResponse:
    try:
        act(found(WHAT_IFS, pk=pk))
        messages.success(request, done)
    except (WhatIfRefused, YardNotReady) as refused:
        messages.error(request, str(refused))
    return redirect("what_if", pk=pk)
