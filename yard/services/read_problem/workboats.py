"""Workboats as the planner sees them: what each charge gives, less what owners' runs take of it.

She is charged every night: for so long after the last moment at which she may run she does not run in the morning.
Where she is also charged in the day, she lies at the float meanwhile, and runs on a new charge after it. A charge that
is cut short counts for nothing, and each quarter hour on the water counts as run: both err on the side of the yard.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from yard.models import Job, OwnersRun, Place, PlannedJob
from yard.planning.problem import QUARTER_MIN, Charge
from yard.services.read_problem.axis import Axis
from yard.services.read_problem.intervals import Interval, union


def run_hours(axis: Axis, runs: Iterable[OwnersRun]) -> Mapping[int, list[Interval]]:
    """When each place is out with owners, by its id."""
    found: dict[int, list[Interval]] = {}
    for run in runs:
        found.setdefault(run.place_id, []).append((axis.minute(run.leaves_at), axis.minute(run.back_at)))
    return found


def done_today(axis: Axis, jobs: Iterable[Job], planned: Mapping[int, PlannedJob]) -> Mapping[int, list[Interval]]:
    """When workboats were out for work that is done since the first day of the axis began, by place id."""
    found: dict[int, list[Interval]] = {}
    for job in jobs:
        row = planned.get(job.pk)
        if job.state != Job.State.DONE or job.actual_ends_at is None or row is None:
            continue
        ends = axis.minute(job.actual_ends_at)
        starts = axis.minute(job.actual_starts_at or min(row.starts_at, job.actual_ends_at))
        if ends > axis.calendar.day_starts[0]:
            for each in row.planned_places.all():
                found.setdefault(each.place_id, []).append((min(starts, ends), ends))
    return found


def hands_of_runs(axis: Axis, runs: Iterable[OwnersRun]) -> Mapping[int, list[Interval]]:
    """When each person is out with owners, by id."""
    found: dict[int, list[Interval]] = {}
    for run in runs:
        for person in run.people.all():
            found.setdefault(person.pk, []).append((axis.minute(run.leaves_at), axis.minute(run.back_at)))
    return found


def charges_of(axis: Axis, row: Place, out: Sequence[Interval]) -> tuple[Charge, ...]:
    """What each charge of each day gives beside the owners' runs `out`; none where nothing binds her."""
    if row.runs_min is None:
        return ()
    return tuple(
        Charge(starts=starts, ends=ends, quarters=max(0, (row.runs_min - _run(out, starts, ends)) // QUARTER_MIN))
        for starts, ends in _stretches(axis, row)
    )


def _run(out: Sequence[Interval], starts: int, ends: int) -> int:
    """Minutes of [starts, ends) that lie in runs."""
    return sum(max(0, min(b, ends) - max(a, starts)) for a, b in union(out))


def _stretches(axis: Axis, row: Place) -> Iterator[Interval]:
    """The hours of each day between two charges."""
    takes = row.charge_min or 0
    length = axis.calendar.quarters_per_day * QUARTER_MIN
    full_at = axis.calendar.day_starts[0]
    for day, opens in zip(axis.dates, axis.calendar.day_starts, strict=True):
        begins, ends = max(opens, full_at), opens + length
        full_at = ends + takes
        if row.charged_at is not None:
            pause = axis.local(day, row.charged_at.hour * 60 + row.charged_at.minute)
            if begins < pause < ends:
                yield begins, pause
                begins = max(begins, pause + takes)
        if begins < ends:
            yield begins, ends
