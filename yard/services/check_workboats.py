"""Workboats at the yard's door: a stored plan, work that is over, and the owners' runs, added up anew from the rows.

The planner is given charges of quarter hours and shut hours; here nothing of that is used. Each outing of a workboat is
a span of the clock: what she runs between two charges is their sum, a charge lies between the last outing of a day and
the first of the next, and nobody and nothing is out twice at once.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from yard.models import OwnersRun, Place, Plan, PlannedJob, YardSettings
from yard.queries.outings import outings_since
from yard.speech import number

WORKBOATS = "workboats"
STANDS = ("started", "done")


@dataclass(frozen=True, slots=True)
class WorkboatFault:
    """job: the planned one that it is told of."""

    job: int
    message: str


@dataclass(frozen=True, slots=True)
class _Outing:
    """planned: the plan's row; None for an owners' run, and for work that is over."""

    starts_at: datetime
    ends_at: datetime
    planned: PlannedJob | None
    with_owners: bool = False

    def minutes(self, since: datetime, until: datetime) -> float:
        """Of it, within [since, until)."""
        return max(0.0, (min(self.ends_at, until) - max(self.starts_at, since)) / timedelta(minutes=1))


def workboat_faults(plan: Plan) -> Iterator[WorkboatFault]:
    """Of outings that end after the plan was made. Work under way, done, or pinned by a person is a fact."""
    zone = ZoneInfo(YardSettings.objects.values_list("time_zone", flat=True).filter(pk=1).first() or "UTC")
    runs = list(
        OwnersRun.objects.filter(called_off_at=None, back_at__gt=plan.made_at - timedelta(days=1)).prefetch_related(
            "people"
        )
    )
    rows = plan.planned_jobs.filter(planned_places__place__kind="workboat").select_related("job__kind").distinct()
    planned = list(rows.prefetch_related("planned_places", "planned_people", "job__pins"))
    # What is over by the plan's own rows counts as those have it; what a plan before this one had, as it was.
    done_here = {row.job_id for row in planned if row.job.state == "done"}
    over = [
        each for each in outings_since(plan.made_at - timedelta(days=1)) if not (each.done and each.job in done_here)
    ]
    for boat in Place.objects.filter(kind="workboat"):
        mine = [row for row in planned if any(each.place_id == boat.pk for each in row.planned_places.all())]
        out = [_outing(row) for row in mine]
        out += [_Outing(run.leaves_at, run.back_at, None, True) for run in runs if run.place_id == boat.pk]
        out += [_Outing(each.starts_at, each.ends_at, None) for each in over if each.place == boat.pk]
        out.sort(key=lambda each: (each.starts_at, each.ends_at))
        yield from _beside_runs(boat, out)
        yield from _runs_too_long(boat, out, zone)
        yield from _not_charged(boat, out, zone)
        yield from _asked_too_much(boat, mine)
    yield from _hands_out_twice(plan, runs)


def _outing(row: PlannedJob) -> _Outing:
    """As it is planned; work that is over as it was."""
    starts, ends = row.job.actual_starts_at, row.job.actual_ends_at
    if row.job.state != "done" or ends is None:
        return _Outing(row.starts_at, row.ends_at, row)
    return _Outing(min(starts or row.starts_at, ends), ends, row)


def _free(outing: _Outing) -> PlannedJob | None:
    """The planned job that a plan answers for; None for what stands."""
    row = outing.planned
    if row is None or row.job.state in STANDS or any(pin.withdrawn_at is None for pin in row.job.pins.all()):
        return None
    return row


def _beside_runs(boat: Place, out: Sequence[_Outing]) -> Iterator[WorkboatFault]:
    for run in (each for each in out if each.with_owners):
        for other in out:
            row = _free(other)
            if row is not None and other.starts_at < run.ends_at and run.starts_at < other.ends_at:
                yield WorkboatFault(
                    row.job_id,
                    _("{boat} is out with owners from {hour} UTC").format(
                        boat=boat, hour=f"{run.starts_at:%Y-%m-%d %H:%M}"
                    ),
                )


def _runs_too_long(boat: Place, out: Sequence[_Outing], zone: ZoneInfo) -> Iterator[WorkboatFault]:
    """Between two charges all outings together last no longer than she runs."""
    if boat.runs_min is None:
        return
    for each in out:
        _day, pause = _pause(boat, each, zone)
        if pause is not None and each.starts_at < pause[1] and pause[0] < each.ends_at and (row := _free(each)):
            yield WorkboatFault(
                row.job_id,
                _("{boat} is being charged from {hour} on the yard's clock").format(
                    boat=boat, hour=f"{pause[0]:%H:%M}"
                ),
            )
    for day, since, until in _on_one_charge(boat, out, zone):
        total = sum(each.minutes(since, until) for each in out)
        free = [row for each in out if each.minutes(since, until) and (row := _free(each)) is not None]
        if total > boat.runs_min and free:
            words = _("{boat} would run {total} min on {day} between two charges, and runs {runs}").format(
                boat=boat, total=number(total, 0), day=f"{day:%Y-%m-%d}", runs=boat.runs_min
            )
            yield WorkboatFault(free[-1].job_id, words)


def _on_one_charge(boat: Place, out: Sequence[_Outing], zone: ZoneInfo) -> Iterator[tuple[date, datetime, datetime]]:
    """The spans of the days on which she goes out that lie between two charges."""
    days = {_pause(boat, each, zone) for each in out}
    for day, pause in sorted(days, key=lambda each: each[0]):
        begins = datetime.combine(day, time(), tzinfo=zone)
        ends = datetime.combine(day + timedelta(days=1), time(), tzinfo=zone)
        if pause is None:
            yield day, begins, ends
        else:
            yield day, begins, pause[0]
            yield day, pause[1], ends


def _pause(boat: Place, each: _Outing, zone: ZoneInfo) -> tuple[date, tuple[datetime, datetime] | None]:
    """The day of an outing on the yard's clock, and when she is charged on that day."""
    day = each.starts_at.astimezone(zone).date()
    if boat.charged_at is None:
        return day, None
    begins = datetime.combine(day, boat.charged_at or time(), tzinfo=zone)
    return day, (begins, begins + timedelta(minutes=boat.charge_min or 0))


def _not_charged(boat: Place, out: Sequence[_Outing], zone: ZoneInfo) -> Iterator[WorkboatFault]:
    """Between the last outing of one day and the first of the next there is time for a charge."""
    if boat.charge_min is None:
        return
    for last, first in pairwise(out):
        nights = last.ends_at.astimezone(zone).date() != first.starts_at.astimezone(zone).date()
        row = _free(first) or _free(last)
        if nights and row is not None and first.starts_at - last.ends_at < timedelta(minutes=boat.charge_min):
            yield WorkboatFault(
                row.job_id,
                _("{boat} has no {minutes} min for a charge before it").format(boat=boat, minutes=boat.charge_min),
            )


def _asked_too_much(boat: Place, mine: Sequence[PlannedJob]) -> Iterator[WorkboatFault]:
    for row in mine:
        if row.job.state in STANDS:
            continue
        if not boat.tows and row.job.water_need == "route":
            yield WorkboatFault(row.job_id, _("{boat} does not tow").format(boat=boat))
        if boat.seats is not None and len(row.planned_people.all()) > boat.seats:
            yield WorkboatFault(
                row.job_id,
                _("{boat} has {seats} seats, and {people} go").format(
                    boat=boat, seats=boat.seats, people=len(row.planned_people.all())
                ),
            )


def _hands_out_twice(plan: Plan, runs: Sequence[OwnersRun]) -> Iterator[WorkboatFault]:
    """Whoever is out with owners does nothing else meanwhile (bench work may pause)."""
    for run in runs:
        rows = plan.planned_jobs.filter(
            planned_people__person__in=run.people.all(), starts_at__lt=run.back_at, ends_at__gt=run.leaves_at
        )
        for row in rows.select_related("job__kind").prefetch_related("job__pins").distinct():
            if _free(_Outing(row.starts_at, row.ends_at, row)) is not None:
                yield WorkboatFault(
                    row.job_id,
                    _("somebody of it is out with owners at {hour} UTC").format(hour=f"{run.leaves_at:%Y-%m-%d %H:%M}"),
                )
