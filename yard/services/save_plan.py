"""Save a plan that holds: checked again against the facts as they are now, all of it or nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import F, Max
from django.utils.translation import gettext as _

from yard.models import (
    Fact,
    FactsRevision,
    Job,
    LeftOut,
    Plan,
    PlannedJob,
    PlannedPerson,
    PlannedPlace,
    PlannedStay,
    Stay,
)
from yard.planning import plan as planner_plan
from yard.planning.check import Breach, faults
from yard.planning.plan import Placement, Planned, StayAt, write_plan_json
from yard.planning.problem import QUARTER_MIN, write_problem_json
from yard.services.check_autumn import AutumnFault, autumn_faults
from yard.services.check_products import ProductFault, product_faults
from yard.services.check_sails import SailFault, sail_faults
from yard.services.check_water import WaterFault, water_faults
from yard.services.how_good import ask_how_good
from yard.services.plan_reading import write_causes, write_weeks
from yard.services.read_problem import ReadProblem, read_problem
from yard.services.read_problem.jobs import Held
from yard.tasks import ask_to_refresh_calendars, compute_odds


class PlanRefused(Exception):
    """The plan breaks a rule as the facts are now; nothing was saved. `faults` has a sentence for each."""

    def __init__(self, sentences: Sequence[str]) -> None:
        super().__init__("; ".join(sentences[:5]))
        self.faults = tuple(sentences)


class PlanNotPosted(Exception):
    """The plan cannot be posted as it is; the text says why."""


@dataclass(frozen=True)
class Making:
    """How a plan was made: by whom, when, and with which seed; all of it is kept with the plan."""

    by: User | None
    now: datetime
    seed: int
    note: str = ""


def save_plan(read: ReadProblem, planned: Planned, making: Making) -> Plan:
    """Save a draft.

    Where facts changed since they were read, the plan is laid on the facts as they are now and checked against
    those; a change that breaks nothing does not waste the planning.  Raises PlanRefused, naming each fault.
    """
    with transaction.atomic():
        FactsRevision.objects.filter(pk=1).update(count=F("count"))  # takes the lock before reading what it guards
        current, plan = read, planned.plan
        if _revision() != read.revision:
            current = read_problem(now=read.now)
            plan = laid_on(read, plan, current)
        _refuse_faults(current, plan)
        return _write(current, plan, planned, making)


def post_plan(plan: Plan, *, by: User | None, now: datetime) -> Plan:
    """Put a draft on the wall: it takes the next number, and the plan that hung there is superseded.

    The worker is asked how sure its days are, how good it is, and to tell calendars.

    Raises PlanNotPosted if it is no draft any more, or if it breaks a rule as the facts are now.
    """
    with transaction.atomic():
        FactsRevision.objects.filter(pk=1).update(count=F("count"))
        Plan.objects.filter(state=Plan.State.POSTED).exclude(pk=plan.pk).update(state=Plan.State.SUPERSEDED)
        number = (Plan.objects.aggregate(last=Max("number"))["last"] or 0) + 1
        posted = Plan.objects.filter(pk=plan.pk, state=Plan.State.DRAFT).update(
            state=Plan.State.POSTED, number=number, posted_by=by, posted_at=now
        )
        if posted != 1:
            raise PlanNotPosted(_("Somebody else has posted or withdrawn this plan already: look at the plans again."))
        compute_odds.enqueue(plan.pk)
        ask_how_good(plan, by=by, now=now)
        ask_to_refresh_calendars()
    plan.refresh_from_db()
    return plan


def withdraw_plan(plan: Plan) -> Plan:
    """Take a draft or the posted plan away; its rows stay for the record. Raises PlanNotPosted if it is neither."""
    changed = Plan.objects.filter(pk=plan.pk, state__in=[Plan.State.DRAFT, Plan.State.POSTED]).update(
        state=Plan.State.WITHDRAWN
    )
    if changed != 1:
        raise PlanNotPosted(_("This plan is neither a draft nor posted, so there is nothing to withdraw."))
    ask_to_refresh_calendars()
    plan.refresh_from_db()
    return plan


def _revision() -> int:
    return FactsRevision.objects.filter(pk=1).values_list("count", flat=True).first() or 0


def _refuse_faults(read: ReadProblem, plan: planner_plan.Plan) -> None:
    found: list[Breach | WaterFault | ProductFault | SailFault | AutumnFault] = [
        *faults(read.problem, plan),
        *water_faults(read, plan),
        *product_faults(read, plan),
        *sail_faults(read, plan),
        *autumn_faults(read, plan),
    ]
    if found:
        raise PlanRefused([fault.message for fault in found])


def laid_on(old: ReadProblem, plan: planner_plan.Plan, new: ReadProblem) -> planner_plan.Plan:
    """The same work at the same clock times on a Problem read later; what is gone there is left away."""
    jobs = {pk: index for index, pk in enumerate(new.jobs)}
    people = {pk: index for index, pk in enumerate(new.people)}
    places = {place.key: index for index, place in enumerate(new.problem.places)}
    placements = []
    for placed in plan.placements:
        pk = old.jobs[placed.job]
        if pk not in jobs:
            continue
        start = new.axis.minute(old.axis.timeline.starts_at(placed.starts_at))
        ends = new.axis.minute(old.axis.timeline.ends_at(placed.ends_at))
        placements.append(
            replace(
                placed,
                job=jobs[pk],
                starts_at=new.axis.timeline.first_at_or_after(start),
                ends_at=new.axis.timeline.last_at_or_before(ends - 1) + 1,
                people=tuple(people.get(old.people[person], -1) for person in placed.people),
                places=tuple((places.get(old.problem.places[place].key, -1), unit) for place, unit in placed.places),
            )
        )
    stays = {pk: index for index, pk in enumerate(new.stays) if pk is not None}
    laid = tuple(
        StayAt(stay=stays[row], place=places.get(old.problem.places[at.place].key, -1), unit=at.unit)
        for at in plan.stays
        if (row := old.stays[at.stay]) is not None and row in stays
    )
    boats = {boat.key: index for index, boat in enumerate(new.problem.boats)}
    left = tuple(
        replace(each, boat=boats[key], job=None)
        for each in plan.left_out
        if (key := old.problem.boats[each.boat].key) in boats
    )
    return planner_plan.Plan(placements=tuple(sorted(placements, key=lambda p: p.job)), stays=laid, left_out=left)


def _write(read: ReadProblem, plan: planner_plan.Plan, planned: Planned, making: Making) -> Plan:
    row = Plan.objects.create(
        made_by=making.by,
        made_at=making.now,
        facts_revision=read.revision,
        cost=planned.score.cost,
        late_days=planned.score.weighted_days_late,
        unplaced=planned.score.left_out,
        seconds=planned.seconds,
        seed=making.seed,
        note=making.note,
        based_on=Plan.objects.filter(state=Plan.State.POSTED).first(),
        problem=write_problem_json(read.problem).decode(),
        plan=write_plan_json(plan).decode(),
    )
    jobs = Job.objects.select_related("kind").prefetch_related("ways", "facts").in_bulk(list(read.jobs))
    made = PlannedJob.objects.bulk_create(_planned_job(read, row, jobs, placed) for placed in plan.placements)
    _write_people_and_places(read, plan, made)
    PlannedStay.objects.bulk_create(_planned_stays(read, plan, row))
    LeftOut.objects.bulk_create(_left_out(read, plan, row))
    write_causes(read, plan, row)
    write_weeks(read, plan, row)
    return row


def _planned_job(read: ReadProblem, plan_row: Plan, jobs: dict[int, Job], placed: Placement) -> PlannedJob:
    job = jobs[read.jobs[placed.job]]
    planned = read.problem.jobs[placed.job]
    way = planned.ways[placed.way]
    timeline = read.axis.timeline
    starts = timeline.starts_at(placed.starts_at)
    if planned.pausing == "elapsed":
        ends = starts + timedelta(minutes=way.duration_quarters * QUARTER_MIN)
    else:
        ends = timeline.ends_at(placed.ends_at)
    sequence = int(way.name)
    way_row = next(row for row in job.ways.all() if row.sequence == sequence)
    parts = _part_times(way_row.parts or job.kind.parts, starts)
    wet = [part for part in parts if part["water"]]
    holds = timedelta(minutes=way.place_extra_quarters * QUARTER_MIN)
    return PlannedJob(
        plan=plan_row,
        job=job,
        way=sequence,
        starts_at=starts,
        ends_at=ends,
        holds_until=ends + holds if holds else None,
        floats_at=datetime.fromisoformat(wet[0]["starts_at"]) if wet else None,
        part_times=parts,
        provisional=any(fact.state != Fact.State.HERE for fact in job.facts.all()),
    )


def _part_times(parts: list[dict], starts: datetime) -> list[dict]:
    found, at = [], starts
    for part in parts:
        ends = at + timedelta(minutes=part["minutes"])
        found.append(
            {
                "name": part["name"],
                "starts_at": at.isoformat(),
                "ends_at": ends.isoformat(),
                "water": part["water"],
            }
        )
        at = ends
    return found


def _write_people_and_places(read: ReadProblem, plan: planner_plan.Plan, made: list[PlannedJob]) -> None:
    people, places = [], []
    for placed, row in zip(plan.placements, made, strict=True):
        way = read.problem.jobs[placed.job].ways[placed.way]
        skills = [crew.skill for crew in way.crew for _ in range(crew.count)]
        skills += [""] * (len(placed.people) - len(skills))
        for person, skill in zip(placed.people, skills, strict=False):
            name = read.problem.people[person].name
            people.append(PlannedPerson(planned_job=row, person_id=read.people[person], name=name, skill=skill))
        for place, unit in placed.places:
            if (pk := read.places[place]) is not None:
                places.append(PlannedPlace(planned_job=row, place_id=pk, unit=unit + 1))
    PlannedPerson.objects.bulk_create(people)
    PlannedPlace.objects.bulk_create(places)


def _planned_stays(read: ReadProblem, plan: planner_plan.Plan, row: Plan) -> list[PlannedStay]:
    placed = plan.by_job()
    timeline = read.axis.timeline
    found = []
    for at in plan.stays:
        stay, stay_pk, place_pk = read.problem.stays[at.stay], read.stays[at.stay], read.places[at.place]
        if stay_pk is None or place_pk is None:
            continue
        first = placed.get(stay.from_job) if stay.from_job is not None else None
        last = placed.get(stay.until_job) if stay.until_job is not None else None
        starts = timeline.ends_at(first.ends_at) if first else read.axis.starts_at
        ends = timeline.starts_at(last.starts_at) if last else read.axis.ends_at
        if starts < ends:
            found.append(
                PlannedStay(
                    plan=row, stay_id=stay_pk, place_id=place_pk, unit=at.unit + 1, starts_at=starts, ends_at=ends
                )
            )
    return found


def _waiting_ends_of_stays(read: ReadProblem) -> dict[int | None, Held]:
    """By boat: the job that would end a stay of hers and waits on a fact, so that her place is never free again."""
    held = {each.job.pk: each for each in read.held}
    if not any(held):
        return {}
    rows = Stay.objects.filter(until_job__in=held).order_by("-id").values_list("order__boat", "until_job")
    return {boat: held[job] for boat, job in rows}


def _left_out(read: ReadProblem, plan: planner_plan.Plan, row: Plan) -> list[LeftOut]:
    """Boats that the planner could not place, and jobs that wait on a fact nobody knows."""
    found, ends = [], _waiting_ends_of_stays(read)
    for each in plan.left_out:
        boat_pk = read.boats[each.boat]
        end = ends.get(boat_pk) if each.rule == "stays" else None
        why = each.reason
        if end is not None:
            why = _("{why}: she would lie there until “{job}”, and that waits: {reason}").format(
                why=why, job=end.job.name, reason=end.reason
            )
        job_pk = read.jobs[each.job] if each.job is not None else None
        orders = {read.orders[job.order] for job in read.problem.jobs if job.boat == each.boat}
        found.append(
            LeftOut(
                plan=row,
                boat_id=boat_pk,
                order_id=min(orders, default=None),
                job_id=job_pk,
                rule=each.rule,
                reason=why[:300],
            )
        )
    found += [
        LeftOut(
            plan=row,
            boat_id=held.job.order.boat_id,
            order_id=held.job.order_id,
            job=held.job,
            rule="facts",
            reason=held.reason[:300],
        )
        for held in read.held
    ]
    return found
