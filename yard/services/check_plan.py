"""The check at the yard's door: a stored plan held against the rows as they are.

The planner's own check reads the Problem; water, products, sails, trips, workboats, autumn's last days and who may
work a place are looked at anew from the rows.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _

from yard.models import Job, Plan, PlannedJob
from yard.planning.check import faults
from yard.services.check_autumn import autumn_faults
from yard.services.check_products import product_faults
from yard.services.check_sails import sail_faults
from yard.services.check_trips import TRIPS, trip_faults
from yard.services.check_water import water_faults
from yard.services.check_workboats import WORKBOATS, workboat_faults
from yard.services.read_problem import ReadProblem, read_problem
from yard.services.stored_plan import plan_from_rows


@dataclass(frozen=True)
class Fault:
    """One fault of a stored plan, as check_plan prints it."""

    rule: str
    job: str
    message: str


def check_stored(plan: Plan) -> list[Fault]:
    """Check a stored plan from its rows and from the yard's facts as they are now.

    The plan's rows are laid on a Problem read anew as of the moment it was made; work finished since is left away.
    Raises YardNotReady where the yard's facts no longer make a Problem at all.
    """
    read = read_problem(now=plan.made_at)
    stored = plan_from_rows(plan, read)
    stood = _stood_already(plan)
    found = [
        Fault(rule=breach.rule, job=_job_name(read, breach.job), message=breach.message)
        for breach in faults(read.problem, stored)
        if not (breach.rule == "release" and breach.job is not None and read.jobs[breach.job] in stood)
    ]
    found += [Fault(each.rule, str(each.job), each.message) for each in product_faults(read, stored)]
    found += [Fault(each.rule, str(each.job), each.message) for each in sail_faults(read, stored)]
    found += [Fault(each.rule, str(each.job), each.message) for each in autumn_faults(read, stored)]
    found += [Fault(rule=water.rule, job=str(water.job), message=water.message) for water in water_faults(read, stored)]
    found += [Fault(TRIPS, str(trip.job or ""), trip.message) for trip in trip_faults(plan)]
    found += [Fault(WORKBOATS, str(each.job), each.message) for each in workboat_faults(plan)]
    return [*found, *_operator_faults(plan)]


def _stood_already(plan: Plan) -> set[int]:
    """Jobs that were to begin before the plan was made and that it leaves where the plan before it had them.

    A plan changed by hand in the middle of a day keeps the morning's work, begun or not, as it hung there.
    """
    if plan.based_on_id is None:
        return set()
    before = dict(PlannedJob.objects.filter(plan=plan.based_on_id).values_list("job_id", "starts_at"))
    rows = plan.planned_jobs.filter(starts_at__lt=plan.made_at).values_list("job_id", "starts_at")
    return {job for job, starts in rows if before.get(job) == starts}


def _operator_faults(plan: Plan) -> Iterator[Fault]:
    """Jobs at a place that names its operators, with none of them in the crew."""
    rows = plan.planned_jobs.filter(planned_places__place__operators__isnull=False).exclude(
        job__state__in=(Job.State.STARTED, Job.State.DONE)
    )
    for row in rows.distinct().prefetch_related("planned_people", "planned_places__place__operators"):
        crew = {person.person_id for person in row.planned_people.all()}
        for place in {held.place for held in row.planned_places.all()}:
            named = {person.pk for person in place.operators.all()}
            if named and crew and not named & crew:
                yield Fault("operators", str(row.job_id), _("nobody of its crew may work {place}").format(place=place))


def _job_name(read: ReadProblem, job: int | None) -> str:
    return "" if job is None or not 0 <= job < len(read.jobs) else str(read.jobs[job])
