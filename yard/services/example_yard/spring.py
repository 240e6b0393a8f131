"""From January to May: a plan is made in January and lived through, with what does not go as planned."""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from yard.models import (
    Item,
    ItemWhereabouts,
    Job,
    JobLink,
    JobWork,
    Mooring,
    Order,
    Plan,
    PlannedJob,
    PlannedStay,
    Whereabouts,
)
from yard.services.example_yard.pen import Pen

SCATTER = 0.25
"""Hours worked scatter lognormally about the estimate (common practice: a quarter more or less is usual)."""
AS_PLANNED = 0.2
"""The share of finished jobs whose hours were copied from the estimate at day's end, not read off."""
SETBACKS = 2
LOOKED_BACK = timedelta(days=6)


@dataclass(frozen=True)
class Lived:
    """What became of the plan. done, running, setback: planned jobs, by start; a setback is not finished yet."""

    now: datetime
    done: tuple[PlannedJob, ...]
    running: tuple[PlannedJob, ...]
    setback: tuple[PlannedJob, ...]

    @property
    def begun(self) -> set[int]:
        """Ids of the jobs that were begun."""
        return {row.job_id for row in (*self.done, *self.running, *self.setback)}


def live_through(plan: Plan, now: datetime, rng: random.Random) -> Lived:
    """Sort the plan's jobs into done, running and not finished though they should be; nothing is written."""
    rows = list(
        plan.planned_jobs.filter(starts_at__lt=now)
        .select_related("job__kind", "job__order__boat", "job__order__to_mooring")
        .prefetch_related("planned_people__person", "planned_places", "job__ways")
        .order_by("starts_at", "id")
    )
    running = [row for row in rows if row.ends_at > now]
    over = [row for row in rows if row.ends_at <= now]
    setback = _setbacks(over, running, now, rng)
    late = {row.pk for row in setback}
    return Lived(now, tuple(row for row in over if row.pk not in late), tuple(running), tuple(setback))


def _setbacks(
    over: Sequence[PlannedJob], running: Sequence[PlannedJob], now: datetime, rng: random.Random
) -> list[PlannedJob]:
    """Bench work of the last days that took longer: nothing that follows has begun, its people and places are free."""
    begun = {row.job_id for row in (*over, *running)}
    followed = set(JobLink.objects.filter(before__in=begun, after__in=begun).values_list("before", flat=True))
    people = {each.person_id for row in running for each in row.planned_people.all()}
    places = {(each.place_id, each.unit) for row in running for each in row.planned_places.all()}
    found: list[PlannedJob] = []
    candidates = [
        row
        for row in over
        if row.ends_at > now - LOOKED_BACK and row.job.kind.pausing == "paused" and row.job_id not in followed
    ]
    rng.shuffle(candidates)
    for row in candidates:
        hands = {each.person_id for each in row.planned_people.all()}
        at = {(each.place_id, each.unit) for each in row.planned_places.all()}
        if len(found) < SETBACKS and not hands & people and not at & places:
            found.append(row)
            people |= hands
            places |= at
    return found


def write_work(lived: Lived, rng: random.Random, pen: Pen) -> None:
    """States, times and hours of the jobs begun, who did them, and the orders that are done with that."""
    jobs, work = [], []
    for row in lived.done:
        job = row.job
        job.state = Job.State.DONE
        job.actual_starts_at, job.actual_ends_at = row.starts_at, row.ends_at
        if job.kind.pausing != "elapsed":
            median = _median_min(row)
            read_off = rng.random() >= AS_PLANNED
            job.hours_as_planned = not read_off
            job.worked_min = _scattered(median, rng) if read_off else median
            if job.kind.pausing == "fitted":
                job.actual_ends_at = min(row.ends_at, row.starts_at + timedelta(minutes=job.worked_min))
            work += _work(row, job.worked_min, pen)
        jobs.append(job)
    for row in lived.running:
        row.job.state, row.job.actual_starts_at = Job.State.STARTED, row.starts_at
        jobs.append(row.job)
    for row in lived.setback:
        row.job.state, row.job.actual_starts_at = Job.State.STARTED, row.starts_at
        row.job.left_min = 15 * rng.randint(8, 16)
        row.job.state_note = "took longer than thought"
        jobs.append(row.job)
    fields = ["state", "actual_starts_at", "actual_ends_at", "worked_min", "hours_as_planned", "left_min", "state_note"]
    pen.update(jobs, fields, lived.now)
    pen.insert(work, lived.now)
    _close_orders(lived, pen)


def _median_min(row: PlannedJob) -> int:
    return next(way.duration_min for way in row.job.ways.all() if way.sequence == row.way)


def _scattered(median_min: int, rng: random.Random) -> int:
    """Minutes worked, to five minutes."""
    return max(5, 5 * round(median_min * math.exp(rng.gauss(0.0, SCATTER)) / 5))


def _work(row: PlannedJob, worked_min: int, pen: Pen) -> list[JobWork]:
    """A line for each person and weekday; bench work over several days is shared out evenly."""
    first, last = row.starts_at.astimezone(pen.zone).date(), row.ends_at.astimezone(pen.zone).date()
    days = [first + timedelta(days=step) for step in range((last - first).days + 1)]
    worked = [day for day in days if day.weekday() < 5] or [first]
    return [
        JobWork(job=row.job, person=each.person, worked_on=day, worked_min=round(worked_min / len(worked)))
        for each in row.planned_people.all()
        for day in worked
    ]


def _close_orders(lived: Lived, pen: Pen) -> None:
    left = set(Job.objects.exclude(state__in=[Job.State.DONE, Job.State.CANCELLED]).values_list("order_id", flat=True))
    done = list(Order.objects.filter(state=Order.State.OPEN).exclude(pk__in=left).order_by("id"))
    for order in done:
        order.state = Order.State.DONE
    pen.update(done, ["state"], lived.now)


def write_places_of_boats(plan: Plan, lived: Lived, pen: Pen) -> None:
    """Launched boats lie at their berths, delivered ones on their moorings, rigs and sails are aboard."""
    berths = {
        row.stay.from_job_id: row.place for row in PlannedStay.objects.filter(plan=plan).select_related("stay", "place")
    }
    moorings = {mooring.permit_boat_id: mooring for mooring in Mooring.objects.filter(permit_boat__isnull=False)}
    found = []
    for row in lived.done:
        order, at = row.job.order, row.job.actual_ends_at
        assert at is not None
        if row.job.kind.key == "launch" and row.job_id in berths:
            found.append(Whereabouts(boat=order.boat, kind=Whereabouts.Kind.BERTH, place=berths[row.job_id], since=at))
        elif row.job.kind.key == "deliver":
            mooring = order.to_mooring or moorings[order.boat_id]
            found.append(Whereabouts(boat=order.boat, kind=Whereabouts.Kind.MOORING, mooring=mooring, since=at))
    pen.insert(found, lived.now)
    pen.insert(_aboard(lived.done, "step", Item.Kind.MAST), lived.now)
    pen.insert(_aboard(lived.done, "bend_on", Item.Kind.SAIL), lived.now)


def _aboard(done: Iterable[PlannedJob], kind: str, item_kind: str) -> list[ItemWhereabouts]:
    rows = {row.job.order.boat_id: row for row in done if row.job.kind.key == kind}
    items: Mapping[int, Item] = {
        item.boat_id or 0: item for item in Item.objects.filter(kind=item_kind, boat__in=rows).order_by("-id")
    }
    return [
        ItemWhereabouts(item=items[boat], kind=ItemWhereabouts.Kind.ABOARD, since=row.job.actual_ends_at)
        for boat, row in rows.items()
        if boat is not None and boat in items and row.job.actual_ends_at is not None
    ]
