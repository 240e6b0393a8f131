"""Changes by hand: a job's page, the draft, undo, redo, drop and post."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from yard.models import HandDraft, Job
from yard.services.change_by_hand import Draft, HandRefused, Wish, change, draft_now, drop, post, redo, split, undo
from yard.services.read_problem import YardNotReady
from yard.web.access import found, require
from yard.web.by_hand.page import NotUnderstood, cannot_move, fault_words, hand_job, placement_of
from yard.web.by_hand.words import span_words
from yard.web.keeping.desk import seen_version
from yard.web.request import YardRequest, who

JOBS = Job.objects.select_related("order__boat", "kind")


@require("plan", post="plan")
@never_cache
def by_hand_job(request: YardRequest, pk: int) -> HttpResponseBase:
    """One job: where it could go; a time of one's own with what it breaks; choose, waive, pin, split."""
    job = found(JOBS, pk=pk)
    try:
        draft = draft_now(now=request.yard_now)
        if draft is None:
            raise HandRefused(_("No plan is posted yet: plan the season first, then change it by hand."))
        if request.method == "POST":
            _write(request, draft, job)
            messages.success(request, _("Changed in the draft. The plan on the wall stays until you post it."))
            return redirect("by_hand")
        context = {"draft": draft, "page": hand_job(draft, job, request.GET, request.yard)}
    except (HandRefused, NotUnderstood, YardNotReady) as error:
        return _refused(request, job, error)
    return render(request, "by_hand/job.html", context | {"job": job})


def _write(request: YardRequest, draft: Draft, job: Job) -> None:
    sent, by, now = request.POST, who(request), request.yard_now
    seen, reason = seen_version(request), sent.get("reason", "")
    if sent.get("do") == "split":
        hours = sent.get("hours", "").replace(",", ".")
        minutes = round(float(hours) * 60) if len(hours) < 6 and hours.replace(".", "", 1).isdecimal() else 0
        split(job, minutes, reason or _("split by hand"), seen_version=seen, by=by, now=now)
        return
    if words := cannot_move(draft, job):
        raise HandRefused(words)
    wanted = placement_of(draft, draft.read.jobs.index(job.pk), sent.get("place", ""))
    wish = Wish(wanted, reason, sent.get("others") == "yes", sent.get("pin") == "yes")
    boat = job.order.boat.name if job.order.boat is not None else job.order.walk_in_name
    says = f"{boat}, {job.name}: {span_words(wanted, draft.read)}"
    change(draft, wish, says=says, seen_version=seen, by=by, now=now)


def _refused(request: YardRequest, job: Job, error: Exception) -> HttpResponse:
    faults = list(dict.fromkeys(getattr(error, "faults", ())))[:6]
    return render(request, "by_hand/refused.html", {"job": job, "says": str(error), "faults": faults}, status=422)


@require("plan")
@never_cache
def by_hand(request: YardRequest) -> HttpResponse:
    """The draft: what was changed, and by whom; undo, redo, post, drop."""
    try:
        draft, trouble = draft_now(now=request.yard_now), ""
    except YardNotReady as error:
        draft, trouble = None, str(error)
    stale = HandDraft.objects.filter(state=HandDraft.State.OPEN).select_related("based_on", "made_by")
    context = {
        "draft": draft,
        "trouble": trouble,
        "faults": fault_words(draft) if draft and draft.done else [],
        "undone": draft.changes[len(draft.done) :] if draft else (),
        "stale": [row for row in stale if draft is None or draft.row is None or row.pk != draft.row.pk],
    }
    return render(request, "by_hand/draft.html", context)


@require(post="plan")
def by_hand_undo(request: YardRequest, pk: int) -> HttpResponseBase:
    return _do(request, pk, lambda row, seen: undo(row, seen_version=seen, by=who(request), now=request.yard_now))


@require(post="plan")
def by_hand_redo(request: YardRequest, pk: int) -> HttpResponseBase:
    return _do(request, pk, lambda row, seen: redo(row, seen_version=seen, by=who(request), now=request.yard_now))


@require(post="plan")
def by_hand_drop(request: YardRequest, pk: int) -> HttpResponseBase:
    return _do(request, pk, lambda row, seen: drop(row, seen_version=seen, by=who(request), now=request.yard_now))


@require(post="post_plan")
def by_hand_post(request: YardRequest, pk: int) -> HttpResponseBase:
    def posted(row: HandDraft, seen: int) -> None:
        plan = post(row, seen_version=seen, by=who(request), now=request.yard_now)
        messages.success(request, _("Plan {plan} hangs on the wall, with your changes.").format(plan=plan.number))

    return _do(request, pk, posted)


def _do(request: YardRequest, pk: int, act: Callable[[HandDraft, int], None]) -> HttpResponseBase:
    row = found(HandDraft.objects.all(), pk=pk)
    try:
        act(row, seen_version(request))
    except (HandRefused, YardNotReady) as error:
        faults = list(dict.fromkeys(getattr(error, "faults", ())))[:6]
        messages.error(request, " ".join([str(error), *(f"{fault}." for fault in faults)]))
    return redirect("by_hand")
