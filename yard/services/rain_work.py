"""What people could do indoors on a day that the weather takes: read from the posted plan, nothing changed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _

from yard.models import Job, Person
from yard.planning.plan import Placement, Plan
from yard.planning.rain_work import rain_work
from yard.planning.units import CannotExpress
from yard.queries.plans import posted_plan
from yard.services.read_problem import ReadProblem, YardNotReady, read_problem
from yard.services.stored_plan import plan_on_the_wall

AHEAD = timedelta(weeks=3)
"""Work of the weeks to come that may be pulled forward; what stands later is seldom ready."""


@dataclass(frozen=True, slots=True)
class JobOfDay:
    """A job on the day, [starts_at, ends_at) in UTC. was_at: its planned start, where it would be pulled."""

    job: Job
    starts_at: datetime
    ends_at: datetime
    was_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Freed:
    """Somebody whose outdoor work of the day is lost, and what there would be instead."""

    person: Person
    lost: tuple[JobOfDay, ...]
    instead: tuple[JobOfDay, ...]


@dataclass(frozen=True, slots=True)
class Instead:
    """freed: everybody with outdoor work on the day, by short name. others: whom pulled work needs as well."""

    freed: tuple[Freed, ...]
    others: tuple[Freed, ...]


def instead_on(day: date, *, now: datetime) -> Instead | str:
    """Who loses outdoor work on a day, and the indoor work that could take its place; or why nothing can be said."""
    if posted_plan() is None:
        return _("No plan is posted yet, so nobody loses anything.")
    try:
        read = read_problem(now=now)
        plan = plan_on_the_wall(read)
    except YardNotReady as error:
        return str(error)
    if plan is None or day not in read.axis.dates:
        return _("The yard does not work on that day.")
    jobs = Job.objects.select_related("kind", "order__boat").in_bulk(list(read.jobs))
    at = read.axis.dates.index(day)
    per_day = read.problem.calendar.quarters_per_day
    by_start = sorted(plan.placements, key=lambda row: (row.starts_at, row.job))
    lost = [row for row in by_start if row.starts_at // per_day == at and jobs[read.jobs[row.job]].outdoor]
    indoor = [row.job for row in plan.placements if _may_come(read, row, jobs, day)]
    try:
        pulled = rain_work(read.problem, plan, day=at, lost={row.job for row in lost}, indoor=indoor)
    except CannotExpress as error:
        return _("The posted plan does not hold on today's facts ({error}): plan again first.").format(error=error)
    return _told(read, plan, jobs, lost, pulled)


def _may_come(read: ReadProblem, row: Placement, jobs: dict[int, Job], day: date) -> bool:
    job = jobs[read.jobs[row.job]]
    starts = read.axis.timeline.starts_at(row.starts_at).astimezone(read.axis.zone).date()
    return not job.outdoor and job.water_need == "none" and job.state == Job.State.OPEN and starts <= day + AHEAD


def _told(
    read: ReadProblem, plan: Plan, jobs: dict[int, Job], lost: list[Placement], pulled: list[Placement]
) -> Instead:
    was = plan.by_job()
    timeline = read.axis.timeline

    def of(row: Placement, *, forward: bool) -> JobOfDay:
        at = timeline.starts_at(was[row.job].starts_at) if forward else None
        job = jobs[read.jobs[row.job]]
        return JobOfDay(job, timeline.starts_at(row.starts_at), timeline.ends_at(row.ends_at), at)

    people = Person.objects.in_bulk(list(read.people))
    found = [
        Freed(
            people[pk],
            tuple(of(row, forward=False) for row in lost if number in row.people),
            tuple(of(row, forward=True) for row in pulled if number in row.people),
        )
        for number, pk in enumerate(read.people)
    ]
    found.sort(key=lambda one: one.person.short_name)
    return Instead(tuple(one for one in found if one.lost), tuple(one for one in found if one.instead and not one.lost))
