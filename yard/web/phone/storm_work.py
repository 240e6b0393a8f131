"""What became of the hauling that a storm ordered: who does it, where and when, in the plan or in the proposal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import Boat, Job, LeftOut, Order, Plan, PlannedJob, Proposal, Storm, StormLine
from yard.web.units import local


@dataclass(frozen=True)
class Haul:
    """One job of a hauling order, with its rows in the posted plan and in the plan that is proposed."""

    job: Job
    posted: PlannedJob | None
    proposed: PlannedJob | None


@dataclass(frozen=True)
class Hauls:
    """By order. proposing: a proposal is ready; waiting: it is still being made; failed: none could be made.

    why_not: by boat, why the proposal has no place for her.
    """

    by_order: dict[int, list[Haul]]
    proposing: bool
    waiting: bool
    failed: bool
    why_not: dict[int, str]

    def lacks(self, line: StormLine) -> bool:
        """Whether a tide is left for her, and the proposal has nobody to haul her on it."""
        rows = self.by_order.get(line.order_id or 0, [])
        return self.proposing and line.done_at is None and not all(row.posted or row.proposed for row in rows)


def hauls_of(storm: Storm, proposal: Proposal | None) -> Hauls:
    """Six queries."""
    open_order = Order.State.OPEN
    jobs = Job.objects.filter(order__storm_lines__storm=storm, order__state=open_order).order_by("order", "sequence")
    states = Proposal.State
    ready = proposal is not None and proposal.state == states.READY
    posted = _planned(storm, plan__state=Plan.State.POSTED)
    proposed = _planned(storm, plan__proposed_in__proposal=proposal, plan__proposed_in__proposed=True) if ready else {}
    found: dict[int, list[Haul]] = {}
    for job in jobs:
        found.setdefault(job.order_id, []).append(Haul(job, posted.get(job.pk), proposed.get(job.pk)))
    left = LeftOut.objects.filter(plan__proposed_in__proposal=proposal, plan__proposed_in__proposed=True)
    why = dict(left.exclude(rule="facts").values_list("boat_id", "reason")) if ready else {}
    state = proposal.state if proposal is not None else ""
    return Hauls(found, ready, state == states.ASKED, state == states.FAILED, why)


def _planned(storm: Storm, **where: object) -> dict[int, PlannedJob]:
    rows = PlannedJob.objects.filter(job__order__storm_lines__storm=storm, **where)
    return {row.job_id: row for row in rows.prefetch_related("planned_people", "planned_places__place")}


def words_of(line: StormLine, hauls: Hauls) -> tuple[str, ...]:
    """A sentence for each job that was ordered for this line."""
    if line.todo != Boat.InAStorm.HAUL or line.tide_at is None:
        return ()
    rows = hauls.by_order.get(line.order_id or 0)
    if rows is None:
        ordered = _("its order was withdrawn") if line.order_id else _("not ordered as work: look at her orders")
        return () if line.done_at else (ordered,)
    why = hauls.why_not.get(line.boat_id, "") if hauls.lacks(line) else ""
    return (*(_words(row, hauls) for row in rows), *([_("Why not: {why}").format(why=why)] if why else []))


def _words(haul: Haul, hauls: Hauls) -> str:
    name = haul.job.name
    if haul.job.state == Job.State.DONE:
        return _("{name}: done").format(name=name)
    if haul.posted is not None:
        return f"{name}: {_booked(haul.posted)}"
    if haul.proposed is not None:
        return _("{name}: proposed {proposed}; accept the proposal to book it").format(
            name=name, proposed=_booked(haul.proposed)
        )
    if hauls.waiting:
        return _("{name}: ordered, the proposal is being made").format(name=name)
    if hauls.proposing:
        return _("{name}: ordered, but the proposal found no crew, trailer and tide for it in time").format(name=name)
    return _("{name}: ordered, in no plan yet").format(name=name)


def _booked(row: PlannedJob) -> str:
    starts, ends = local(row.starts_at), local(row.ends_at)
    people = ", ".join(each.name for each in row.planned_people.all())
    places = ", ".join(dict.fromkeys(each.place.name for each in row.planned_places.all()))
    when = _("{starts} to {ends}").format(starts=said(starts, "D j M H:i"), ends=said(ends, "H:i"))
    return ", ".join(part for part in (when, people, places) if part)


def crewed_words(lines: Sequence[StormLine], hauls: Hauls) -> str:
    """Honest about people, ramp and trailer, beside what the tides alone allow."""
    given = [one for one in lines if one.todo == Boat.InAStorm.HAUL and one.tide_at is not None and not one.done_at]
    ordered = [one for one in given if one.order_id in hauls.by_order]
    if not given or not ordered:
        return "" if not given else _("None of them is ordered as work: no package of the yard hauls a boat.")
    booked = sum(all(row.posted for row in hauls.by_order[one.order_id or 0]) for one in ordered)
    if booked == len(given):
        return _("People, ramp and trailer are booked for all {booked}.").format(booked=booked)
    if hauls.waiting:
        return _("{booked} of {given} booked; the proposal for the others is being made.").format(
            booked=booked, given=len(given)
        )
    if hauls.proposing:
        could = sum(all(row.posted or row.proposed for row in hauls.by_order[one.order_id or 0]) for one in ordered)
        return _(
            "By the tides {given} can be hauled; the proposal has people, ramp and trailer for {could} of them, "
            "and {booked} are booked in the plan on the wall."
        ).format(given=len(given), could=could, booked=booked)
    told = _("{booked} of {given} are booked in the plan on the wall.").format(booked=booked, given=len(given))
    return f"{told} {_('No proposal was made for the others: order the rest again.')}" if hauls.failed else told
