"""The store plan and the spar racks; autumn's rules and last days."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Place, StaleRow, StowPlan
from yard.queries.plans import posted_plan
from yard.services.stowing import plans
from yard.services.stowing.freeze import bring_to_last_day
from yard.services.stowing.ground import autumn_rules, measures_of_stacks
from yard.services.stowing.rules import STACKED, RulesRefused, save_rules, save_stack
from yard.web.access import found, require
from yard.web.doing import do_or_say_why
from yard.web.keeping.desk import seen_version, today_of
from yard.web.request import YardRequest, who
from yard.web.stowing.autumn_page import autumn_page
from yard.web.stowing.forms import RulesForm, StackForm
from yard.web.stowing.plan_page import plan_page

STALE = gettext_lazy(
    "Somebody changed this meanwhile. Nothing was saved: look at the page as it is now, then try again."
)
SAYS = {
    "accept": gettext_lazy("Accepted: the season is planned so from the next planning on."),
    "take_back": gettext_lazy("Taken back. What stood before stands again."),
    "drop": gettext_lazy("Dropped."),
}


@require("view_plan")
def store_plan(request: YardRequest) -> HttpResponse:
    return _show(request, StowPlan.Kind.BOATS)


@require("view_plan")
def spar_plan(request: YardRequest) -> HttpResponse:
    return _show(request, StowPlan.Kind.SPARS)


def _show(request: YardRequest, kind: StowPlan.Kind) -> HttpResponse:
    asked = request.GET.get("show") == "accepted"
    page = plan_page(kind, request.yard, posted_plan(), now=request.yard_now, accepted_asked=asked)
    return render(request, "stowing/plan.html", {"page": page})


@require(post="plan")
def store_plan_act(request: YardRequest, kind: str) -> HttpResponse:
    """Plan it, fill it again by the posted hauls, accept it, take the acceptance back, or drop the proposal."""
    if kind not in StowPlan.Kind.values:
        raise Http404
    what, by, now = request.POST.get("act", ""), who(request), request.yard_now

    def act() -> str:
        if what in ("plan", "fill_again"):
            as_hauled = what == "fill_again"
            plans.propose(StowPlan.Kind(kind), yard=request.yard, by=by, now=now, as_hauled=as_hauled)
            return _("Planned. Look at it, then accept it or drop it.")
        verbs = {"accept": plans.accept, "take_back": plans.take_back, "drop": plans.drop}
        if what not in verbs:
            raise plans.StowRefused(_("Nothing was changed: press one of the page's buttons."))
        row = found(StowPlan.objects.filter(kind=kind), pk=request.POST.get("plan", "0"))
        verbs[what](row, seen_version=seen_version(request), by=by, now=now)
        return str(SAYS[what])

    do_or_say_why(request, act, plans.StowRefused)
    return redirect("store_plan" if kind == StowPlan.Kind.BOATS else "spar_plan")


@require("view_plan", post="plan")
def autumn(request: YardRequest) -> HttpResponseBase:
    """Who is hauled, washed and winterised when, beside the first freeze; a POST changes the rules, or brings days."""
    if request.method == "POST" and request.POST.get("act") == "bring":
        count = bring_to_last_day(by=who(request), now=request.yard_now, today=today_of(request))
        messages.success(request, _("{n} brought to that day. Plan the season again for it to count.").format(n=count))
        return redirect("autumn")
    form = RulesForm(request.POST or None, rules=autumn_rules(), yard=request.yard)
    if form.is_valid():
        try:
            seen = form.cleaned_data["version"]
            save_rules(form.values(), seen_version=seen, by=who(request), now=request.yard_now)
            messages.success(request, _("Saved. Plan the season again for it to count."))
            return redirect("autumn")
        except RulesRefused as refused:
            for name, words in refused.faults.items():
                form.add_error(name if name in form.fields else None, words)
        except StaleRow:
            form.add_error(None, STALE)
    page = autumn_page(request.yard, posted_plan(), now=request.yard_now, form=form if request.POST else None)
    return render(request, "stowing/autumn.html", {"page": page}, status=422 if request.POST else 200)


@require(post="edit_facts")
def stack_measure(request: YardRequest, pk: int) -> HttpResponseBase:
    """What one row or rack takes."""
    place = found(Place.objects.filter(kind__in=STACKED), pk=pk)
    form = StackForm(request.POST, place=place, stack=measures_of_stacks().get(pk), yard=request.yard)
    if form.is_valid():
        try:
            seen = form.cleaned_data["version"]
            save_stack(place, form.values(), seen_version=seen, by=who(request), now=request.yard_now)
            messages.success(request, _("{place}: saved. Plan the store anew for it to count.").format(place=place))
            return redirect("autumn")
        except RulesRefused as refused:
            for words in refused.faults.values():
                form.add_error(None, words)
        except StaleRow:
            form.add_error(None, STALE)
    page = autumn_page(request.yard, posted_plan(), now=request.yard_now, stack=form)
    return render(request, "stowing/autumn.html", {"page": page}, status=422)
