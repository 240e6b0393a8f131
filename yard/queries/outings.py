"""What workboats have done already: outings that are over, whichever plan had them and wherever their order stands."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime

from django.utils.dateparse import parse_datetime

from yard.models import Event, Job, PlaceKind, PlannedJob


@dataclass(frozen=True, slots=True)
class Outing:
    """[starts_at, ends_at), UTC, as it was; job: the id of the work; done: False where it was broken off."""

    place: int
    starts_at: datetime
    ends_at: datetime
    job: int
    done: bool = True


@dataclass(frozen=True, slots=True)
class _Work:
    job: int
    starts_at: datetime | None
    ends_at: datetime
    done: bool


def outings_since(at: datetime, until: datetime | None = None) -> list[Outing]:
    """Work in workboats that ended after `at`, and by `until` where that is said, done or broken off, by start.

    A new plan names only what is left to do, so the boat is read off the last plan that hung on the wall while the
    work was done. Five queries at the most.
    """
    work = [*_done(at, until), *_broken_off(at, until)]
    planned = _planned({each.job for each in work})
    found = []
    for each in work:
        row = _at_the_time(planned.get(each.job, []), each.ends_at)
        if row is None:
            continue
        starts = min(each.starts_at or row.starts_at, each.ends_at)
        # A job that was broken off is often said so the next morning: it was not out longer than planned.
        ends = each.ends_at if each.done else max(starts, min(each.ends_at, row.ends_at))
        for held in row.planned_places.all():
            if held.place.kind == PlaceKind.WORKBOAT:
                found.append(Outing(held.place_id, starts, ends, each.job, each.done))
    return sorted(found, key=lambda each: (each.starts_at, each.ends_at, each.job))


def _done(at: datetime, until: datetime | None) -> Iterator[_Work]:
    rows = Job.objects.filter(state=Job.State.DONE, actual_ends_at__gt=at)
    rows = rows.filter(actual_ends_at__lte=until) if until is not None else rows
    for pk, starts, ends in rows.values_list("pk", "actual_starts_at", "actual_ends_at"):
        if ends is not None:
            yield _Work(pk, starts, ends, True)


def _broken_off(at: datetime, until: datetime | None) -> Iterator[_Work]:
    """Begun, and open again: the event that says so keeps when it was begun."""
    events = Event.objects.filter(recorded_at__gt=at, withdrawn_at=None).order_by("recorded_at", "id")
    events = events.filter(recorded_at__lte=until) if until is not None else events
    for rows, recorded_at in events.values_list("rows", "recorded_at"):
        for row in rows:
            before, after = row["before"] or {}, row["after"] or {}
            begun, now_begun = before.get("actual_starts_at"), after.get("actual_starts_at", True)
            if row["model"] == "Job" and begun and now_begun is None:
                ended = before.get("actual_ends_at")
                ends = parse_datetime(ended) if ended else None
                yield _Work(row["pk"], parse_datetime(begun), ends or recorded_at, False)


def _planned(jobs: Iterable[int]) -> dict[int, list[PlannedJob]]:
    """What the plans that hung on the wall said of each job, the earliest plan first."""
    rows = PlannedJob.objects.filter(job__in=jobs, plan__number__isnull=False).select_related("plan")
    rows = rows.defer("plan__problem", "plan__plan")  # some megabytes a row
    found: dict[int, list[PlannedJob]] = {}
    for row in rows.prefetch_related("planned_places__place").order_by("plan__number"):
        found.setdefault(row.job_id, []).append(row)
    return found


def _at_the_time(rows: list[PlannedJob], ends_at: datetime) -> PlannedJob | None:
    """Of the last plan that was posted by then; where work is said to have ended before all of them, of the first."""
    posted = [row for row in rows if row.plan.posted_at is not None and row.plan.posted_at <= ends_at]
    return posted[-1] if posted else rows[0] if rows else None
