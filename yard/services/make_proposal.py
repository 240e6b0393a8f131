"""Between a proposal's row and the planner: what it is asked to mend, and what of its answer is kept."""

from __future__ import annotations

from django.conf import settings

from yard.models import Order, Plan, PlanRun, Proposal, ProposedPlan, Telling
from yard.planning.plan import Placement, Planned, write_plan_json
from yard.planning.plan import Plan as PlannerPlan
from yard.planning.problem import write_problem_json
from yard.planning.reshuffle import Choice, NotKept, Reshuffled
from yard.services.plan_process import RESHUFFLE_SOLVER, SolveOrder
from yard.services.read_problem import ReadProblem
from yard.services.save_plan import Making, save_plan
from yard.services.stored_plan import plan_to_mend

FIRM = (Telling.State.FIRM, Telling.State.WEATHER_HOLD)


def mending_order(proposal: Proposal, read: ReadProblem) -> SolveOrder:
    """The order to mend the plan that was posted, with what was wished of it."""
    assert proposal.run is not None
    return SolveOrder(
        problem=write_problem_json(read.problem),
        seconds=proposal.run.seconds_limit,
        seed=proposal.run.seed,
        workers=settings.PLAN_WORKERS,
        solver=RESHUFFLE_SOLVER,
        start=write_plan_json(plan_to_mend(proposal.based_on, read)),
        options={"firm": firm_boats(read)} | wished_of(proposal, read),
    )


def wished_of(proposal: Proposal, read: ReadProblem) -> dict[str, tuple[int, ...]]:
    """The planner's indices.  keep_boats: their work stays where it is.  leave_people: theirs does, and nothing more
    comes to them."""
    return {
        name: tuple(index for index, pk in enumerate(rows) if pk in set(proposal.wishes.get(name, ())))
        for name, rows in (("keep_boats", read.boats), ("leave_people", read.people))
    }


def firm_boats(read: ReadProblem) -> tuple[int, ...]:
    """The planner's index of each boat of which an order's last telling is a firm day."""
    last: dict[int, Telling] = {}
    for row in Telling.objects.filter(order__in=read.orders, taken_back_at=None).order_by("told_at", "id"):
        last[row.order_id] = row
    told = Order.objects.filter(pk__in=[pk for pk, row in last.items() if row.state in FIRM])
    boats = set(told.values_list("boat_id", flat=True))
    return tuple(index for index, pk in enumerate(read.boats) if pk is not None and pk in boats)


def keep_proposal(run: PlanRun, read: ReadProblem, found: Reshuffled, making: Making) -> Plan:
    """Save the drafts and say that the proposal is ready; gives the proposed one.  Raises PlanRefused."""
    proposal = Proposal.objects.get(run=run, state=Proposal.State.ASKED)
    posted = plan_to_mend(proposal.based_on, read)
    late_before = _late_orders(read, posted)
    kept: list[ProposedPlan] = []
    for rank, choice in enumerate(found.curve):
        draft = save_plan(read, _planned(found, choice), making)
        Plan.objects.filter(pk=draft.pk).update(based_on=proposal.based_on)
        kept.append(
            ProposedPlan(
                proposal=proposal,
                plan=draft,
                rank=rank,
                proposed=choice == found.proposed,
                firm_moved=choice.disturbance.firm,
                boats_moved=choice.disturbance.boats,
                jobs_moved=choice.disturbance.jobs,
                people_changed=choice.disturbance.people,
                promises_lost=len(_late_orders(read, choice.plan) - late_before),
            )
        )
    ProposedPlan.objects.bulk_create(kept)
    must = [{"boat": read.boats[row.boat], "job": read.jobs[row.job]} for row in found.must_move]
    Proposal.objects.filter(pk=proposal.pk).update(
        state=Proposal.State.READY, must_move=must, not_kept=[_not_kept(row, read) for row in found.not_kept]
    )
    return next(row.plan for row in kept if row.proposed)


def _not_kept(row: NotKept, read: ReadProblem) -> dict[str, object]:
    return {"boat": read.boats[row.boat], "job": read.jobs[row.job], "rule": row.rule, "says": row.message}


def proposal_failed(run: PlanRun) -> None:
    """The run ended without a plan; its own row says why."""
    Proposal.objects.filter(run=run, state=Proposal.State.ASKED).update(state=Proposal.State.FAILED)


def _planned(found: Reshuffled, choice: Choice) -> Planned:
    return Planned(plan=choice.plan, score=choice.score, bound=0, proved=False, seconds=found.seconds, ended="time")


def _late_orders(read: ReadProblem, plan: PlannerPlan) -> set[int]:
    """Orders whose last job ends after their due day, or has no place."""
    problem, placed = read.problem, plan.by_job()
    return {job.order for number, job in enumerate(problem.jobs) if _late(read, placed.get(number), job.order)}


def _late(read: ReadProblem, placed: Placement | None, order: int) -> bool:
    if placed is None:
        return True
    return (placed.ends_at - 1) // read.problem.calendar.quarters_per_day > read.problem.orders[order].due_day
