"""Proposals as people decide on them: ask, accept, drop, undo. One wins; whoever comes second is told."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _

from yard.models import Event, FactsRevision, Plan, PlanRun, Proposal, ProposedPlan, Telling
from yard.services.check_plan import check_stored
from yard.services.plan_runs import Asked, ask_for_plan
from yard.services.save_plan import post_plan

State = Proposal.State
SECONDS = 8  # for the whole curve


class NothingPosted(Exception):
    """No plan hangs on the wall, so there is none to mend."""


class PlannerAtWork(Exception):
    """A planning run is under way, and what asks can wait for it."""


class ProposalRefused(Exception):
    """It cannot be accepted, dropped or undone any more; the text says why and what to do. Nothing was changed."""

    def __init__(self, text: str, faults: Sequence[str] = ()) -> None:
        super().__init__(text)
        self.faults = tuple(faults)


def ask_for_proposal(
    events: Iterable[Event],
    *,
    by: User | None,
    now: datetime,
    wishes: Mapping[str, Sequence[int]] | None = None,
    again_for: Proposal | None = None,
    hurry: bool = True,
) -> Proposal:
    """Ask the worker to mend the posted plan.  now: the real clock.  A planning run under way makes room.

    hurry: False where it can wait: a proposal that is not begun takes these events with it, and any other run under
    way raises PlannerAtWork.  Raises NothingPosted.
    """
    with transaction.atomic():
        posted = Plan.objects.filter(state=Plan.State.POSTED).defer("problem", "plan").first()
        if posted is None:
            raise NothingPosted(_("No plan is posted yet, so there is nothing to reshuffle: plan the season first."))
        if not hurry and (waiting := _not_begun(posted)) is not None:
            waiting.events.add(*events)
            return waiting
        proposal = Proposal.objects.create(
            based_on=posted,
            asked_by=by,
            asked_at=now,
            again_for=again_for,
            wishes={name: sorted(set(pks)) for name, pks in (wishes or {}).items()},
        )
        proposal.events.set(events)
        request = {"proposal": proposal.pk}
        asked = ask_for_plan(seconds=SECONDS, seed=1, by=by, now=now, request=request, hurry=hurry)
        if not isinstance(asked, Asked):
            raise PlannerAtWork(_("The planner is at work: ask for a proposal when it is done."))
        proposal.run = asked.run
        proposal.save(update_fields=["run"])
    return proposal


def _not_begun(posted: Plan) -> Proposal | None:
    """A proposal for this plan that waits for the worker: it will read the facts as they are when it begins."""
    waiting = Proposal.objects.filter(based_on=posted, state=State.ASKED, run__state=PlanRun.State.QUEUED, wishes={})
    return waiting.order_by("id").last()


def accept(proposal: Proposal, choice: ProposedPlan, *, by: User | None, now: datetime) -> Plan:
    """Post one of its plans, if it still holds against the facts as they are now.  Raises ProposalRefused."""
    with transaction.atomic():
        _lock()
        _demand_ready(proposal)
        _demand_same_wall(proposal)
        faults = check_stored(choice.plan)
        if faults:
            raise ProposalRefused(_why_it_does_not_hold(choice.plan), [fault.message for fault in faults])
        posted = post_plan(choice.plan, by=by, now=now)
        _decide(proposal, State.ACCEPTED, by, now, posted=posted)
    return posted


def drop(proposal: Proposal, *, by: User | None, now: datetime) -> None:
    """Leave the posted plan as it is; the facts that were told stay facts.  Raises ProposalRefused."""
    with transaction.atomic():
        _lock()
        _demand_ready(proposal)
        _decide(proposal, State.DROPPED, by, now)


def undo(proposal: Proposal, *, by: User | None, now: datetime) -> Plan:
    """Bring the plan before back, if it still holds and nobody was told of the new one.  Raises ProposalRefused."""
    with transaction.atomic():
        _lock()
        new, old = proposal.posted, proposal.based_on
        if new is None or Plan.objects.filter(pk=new.pk, state=Plan.State.POSTED).count() != 1:
            raise ProposalRefused(_("Another plan was posted since: look at the plans."))
        if Telling.objects.filter(plan=new).exists():
            raise ProposalRefused(
                _("Owners were told of plan {number}, so it is not taken back: make a new proposal.").format(
                    number=new.number
                )
            )
        faults = check_stored(old)
        if faults:
            raise ProposalRefused(
                _("Plan {number} does not hold any more:").format(number=old.number),
                [fault.message for fault in faults],
            )
        Plan.objects.filter(pk=new.pk).update(state=Plan.State.WITHDRAWN)
        Plan.objects.filter(pk=old.pk).update(state=Plan.State.POSTED)
        if Proposal.objects.filter(pk=proposal.pk, state=State.ACCEPTED).update(state=State.UNDONE) != 1:
            raise ProposalRefused(_("Somebody else has undone it already."))
    old.refresh_from_db()
    return old


def stale_because(proposal: Proposal) -> str:
    """Why a proposal that is ready may not be accepted any more, or nothing."""
    posted = Plan.objects.filter(state=Plan.State.POSTED).select_related("posted_by").defer("problem", "plan").first()
    if posted is None:
        return _("The plan it mends was withdrawn: plan the season.")
    if posted.pk == proposal.based_on_id:
        return ""
    who = posted.posted_by.get_short_name() or posted.posted_by.username if posted.posted_by else _("somebody")
    return _("Plan {number} was posted by {who} since: make it again.").format(number=posted.number, who=who)


def _why_it_does_not_hold(plan: Plan) -> str:
    if FactsRevision.objects.filter(pk=1, count=plan.facts_revision).exists():
        return _(
            "It breaks a rule of the yard, though no fact changed since it was made: ask again, or change it by hand."
        )
    return _("Facts have changed since it was made, and it does not hold any more: ask again.")


def _lock() -> None:
    FactsRevision.objects.filter(pk=1).update(count=F("count"))


def _demand_ready(proposal: Proposal) -> None:
    """Read it again behind the lock: two people may have it open."""
    proposal.refresh_from_db()
    if proposal.state == State.READY:
        return
    who = proposal.decided_by.get_short_name() or proposal.decided_by.username if proposal.decided_by else _("somebody")
    raise ProposalRefused(
        _("This proposal is {state}, by {who}: nothing was changed now.").format(
            state=proposal.get_state_display(), who=who
        )
    )


def _demand_same_wall(proposal: Proposal) -> None:
    if reason := stale_because(proposal):
        raise ProposalRefused(reason)


def _decide(
    proposal: Proposal, state: Proposal.State, by: User | None, now: datetime, posted: Plan | None = None
) -> None:
    Proposal.objects.filter(pk=proposal.pk).update(state=state, decided_by=by, decided_at=now, posted=posted)
    drafts = Plan.objects.filter(proposed_in__proposal=proposal, state=Plan.State.DRAFT)
    drafts.update(state=Plan.State.WITHDRAWN)
    proposal.refresh_from_db()
