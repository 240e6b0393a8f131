"""Plan versions, and the planner at work in the background."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Plan, PlanRun
from yard.queries.plans import posted_plan
from yard.services.check_plan import check_stored
from yard.services.plan_runs import AlreadyPlanning, ask_for_plan, progress, stop
from yard.services.read_problem import YardNotReady
from yard.services.save_plan import PlanNotPosted, post_plan, withdraw_plan
from yard.web.access import found, require
from yard.web.filters.plans import PlanFilter
from yard.web.request import YardRequest, asks_for_part, who
from yard.web.tables.plans import PlanTable
from yard.web.tables.yard_table import of_request


class PlanForm(forms.Form):
    """How long the planner may take."""

    seconds = forms.TypedChoiceField(
        label=gettext_lazy("Plan for"),
        choices=[
            ("30", gettext_lazy("30 seconds")),
            ("60", gettext_lazy("1 minute")),
            ("120", gettext_lazy("2 minutes")),
        ],
        coerce=int,
        initial="60",
    )


@require("view_plan")
def plans(request: YardRequest) -> HttpResponse:
    """Every plan that was made, the newest first."""
    versions = PlanFilter(request.GET, Plan.objects.defer("problem", "plan").select_related("made_by", "posted_by"))
    run = PlanRun.objects.exclude(request__has_key="what_if").order_by("-asked_at", "-id").first()
    context = {
        "table": of_request(request, PlanTable(versions.qs)),
        "filter": versions,
        "any": Plan.objects.exists(),
        "posted": posted_plan(),
        "form": PlanForm(),
        "told": progress(run, now=timezone.now()) if run else None,
    }
    return render(request, "plans/list.html", context)


@require("view_plan")
def plan(request: YardRequest, pk: int) -> HttpResponse:
    row = found(Plan.objects.defer("problem", "plan").select_related("made_by", "posted_by"), pk=pk)
    faults, trouble = None, ""
    if request.GET.get("check"):
        try:
            faults = check_stored(row)
        except YardNotReady as error:
            trouble = str(error)
    left = row.left_out.select_related("boat", "job", "order").order_by("id")
    return render(request, "plans/plan.html", {"plan": row, "left": left, "faults": faults, "trouble": trouble})


@require(post="plan")
def plan_season(request: YardRequest) -> HttpResponse:
    form = PlanForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Choose how long the planner may take."))
        return redirect("plans")
    asked = ask_for_plan(seconds=form.cleaned_data["seconds"], seed=1, by=who(request), now=timezone.now())
    if isinstance(asked, AlreadyPlanning):
        messages.info(request, _("A plan is being made already; here it is."))
    return redirect("run", pk=asked.run.pk)


@require("view_plan")
def run(request: YardRequest, pk: int) -> HttpResponse:
    row = found(PlanRun.objects.select_related("result"), pk=pk)
    part = asks_for_part(request)
    told = progress(row, now=timezone.now())
    return render(request, "plans/_run.html" if part else "plans/run.html", {"told": told})


@require(post="plan")
def run_stop(request: YardRequest, pk: int) -> HttpResponse:
    row = found(PlanRun.objects.all(), pk=pk)
    if not stop(row, now=timezone.now()):
        messages.info(request, _("It had ended already."))
    return redirect("run", pk=pk)


@require(post="post_plan")
def plan_post(request: YardRequest, pk: int) -> HttpResponse:
    row = found(Plan.objects.defer("problem", "plan"), pk=pk)
    try:
        posted = post_plan(row, by=who(request), now=request.yard_now)
        messages.success(request, _("Plan {plan} hangs on the wall.").format(plan=posted.number))
    except PlanNotPosted as error:
        messages.error(request, str(error))
    return redirect("plan", pk=pk)


@require(post="post_plan")
def plan_withdraw(request: YardRequest, pk: int) -> HttpResponse:
    row = found(Plan.objects.defer("problem", "plan"), pk=pk)
    try:
        withdraw_plan(row)
        messages.success(request, _("The plan is withdrawn; its rows stay for the record."))
    except PlanNotPosted as error:
        messages.error(request, str(error))
    return redirect("plan", pk=pk)
