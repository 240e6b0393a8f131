"""Workboats as the planner sees them: what each charge gives, less what is run already and what owners' runs take.

She is charged every night: for so long after the last moment at which she may run she does not run in the morning.
Where she was out later than that, the charge begins when she came back.
Where she is also charged in the day, she lies at the float meanwhile, and runs on a new charge after it. A charge that
is cut short counts for nothing, and each quarter hour on the water counts as run: both err on the side of the yard.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import timedelta

from yard.models import OwnersRun, Place
from yard.planning.problem import QUARTER_MIN, Charge
from yard.queries.outings import Outing
from yard.services.read_problem.axis import Axis
from yard.services.read_problem.intervals import Interval, union


def run_hours(axis: Axis, runs: Iterable[OwnersRun]) -> Mapping[int, list[Interval]]:
    """When each place is out with owners, by its id."""
    found: dict[int, list[Interval]] = {}
    for run in runs:
        found.setdefault(run.place_id, []).append((axis.minute(run.leaves_at), axis.minute(run.back_at)))
    return found


def out_hours(axis: Axis, outings: Iterable[Outing]) -> Mapping[int, list[Interval]]:
    """When workboats were out for work that is over, by place id."""
    found: dict[int, list[Interval]] = {}
    for each in outings:
        found.setdefault(each.place, []).append((axis.minute(each.starts_at), axis.minute(each.ends_at)))
    return found


def hands_of_runs(axis: Axis, runs: Iterable[OwnersRun]) -> Mapping[int, list[Interval]]:
    """When each person is out with owners, by id."""
    found: dict[int, list[Interval]] = {}
    for run in runs:
        for person in run.people.all():
            found.setdefault(person.pk, []).append((axis.minute(run.leaves_at), axis.minute(run.back_at)))
    return found


def charges_of(axis: Axis, row: Place, out: Sequence[Interval]) -> tuple[Charge, ...]:
    """What each charge of each day gives beside what she is `out` for otherwise: owners' runs, and work that is over.

    None where nothing binds her.
    """
    if row.runs_min is None:
        return ()
    return tuple(
        Charge(starts=starts, ends=ends, quarters=max(0, (row.runs_min - _run(out, *counted)) // QUARTER_MIN))
        for (starts, ends), counted in _stretches(axis, row, out)
    )


def _run(out: Sequence[Interval], starts: int, ends: int) -> int:
    """Minutes of [starts, ends) that lie in spans of `out`."""
    return sum(max(0, min(b, ends) - max(a, starts)) for a, b in union(out))


def _stretches(axis: Axis, row: Place, out: Sequence[Interval]) -> Iterator[tuple[Interval, Interval]]:
    """The hours of each day between two charges, and the span of the whole day in which running counts to each."""
    takes = row.charge_min or 0
    length = axis.calendar.quarters_per_day * QUARTER_MIN
    full_at = axis.calendar.day_starts[0]
    for day, opens in zip(axis.dates, axis.calendar.day_starts, strict=True):
        midnight, next_midnight = axis.local(day, 0), axis.local(day + timedelta(days=1), 0)
        late_back = max((back for left, back in out if left < midnight), default=None)
        if late_back is not None:
            full_at = max(full_at, late_back + takes)
        begins, ends = max(opens, full_at), opens + length
        counts_from, full_at = midnight, ends + takes
        if row.charged_at is not None:
            pause = axis.local(day, row.charged_at.hour * 60 + row.charged_at.minute)
            if begins < min(pause, ends):
                yield (begins, min(pause, ends)), (midnight, pause)
            counts_from = pause + takes
            begins = max(begins, counts_from)
        if begins < ends:
            yield (begins, ends), (counts_from, next_midnight)
