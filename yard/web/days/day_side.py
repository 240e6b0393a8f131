"""Beside the day sheet, on the screen: now, limits close by, what changed, what is done, and the final calls."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import Job, Plan, PlannedJob, YardSettings
from yard.pictures.lettering import clock, weekday_day_month
from yard.queries.days import DayRows
from yard.queries.plan_before import afloat_between, done_between, plan_before, rows_of_day, rows_of_jobs
from yard.services.read_problem import WaterLevel
from yard.web.days.gusts import DayWind
from yard.web.days.hours import span_on
from yard.web.days.job_water import JobWater
from yard.web.days.ramp_work import boat_name, parts_of
from yard.web.units import at_minute, local

LITTLE_WATER_MIN = 30
"""With less than this left of her water after she floats off, it is said (common practice)."""
CALL_AHEAD_DAYS = 7
MOST_CHANGES = 12


@dataclass(frozen=True)
class DaySide:
    """Each a list of lines, empty for none. now: None on another day than today. before: the plan compared with.

    gusts: hour and knots, as the forecast has them.
    """

    now: tuple[str, ...] | None
    limits: tuple[str, ...]
    gusts: tuple[tuple[str, str], ...]
    forecast: str
    changes: tuple[str, ...]
    before: Plan | None
    done: tuple[str, ...]
    calls: tuple[str, ...]
    calls_head: str


def day_side(
    yard: YardSettings,
    plan: Plan | None,
    day: date,
    rows: DayRows,
    water: dict[int, JobWater],
    wind: DayWind,
    *,
    gauge: str,
    now: datetime,
) -> DaySide:
    """Six queries at most, however many jobs. gauge: the warning of a reading that holds, "" for none."""
    numbers = {row.job_id: number for number, row in enumerate(rows.jobs, start=1)}
    before = plan_before(plan) if plan is not None else None
    next_day = _next_open(day, rows)
    return DaySide(
        now=tuple(_now(rows.jobs, numbers, now)) if day == local(now).date() else None,
        limits=(*([gauge] if gauge else []), *wind.close, *_little_water(rows.jobs, numbers, water, day)),
        gusts=tuple((clock(gust.minute // 60 * 60), f"{gust.kn:.0f}") for gust in wind.gusts),
        forecast=wind.words,
        changes=tuple(_changes(plan, before, rows.jobs, day)) if plan and before else (),
        before=before,
        done=tuple(_done(numbers, day)),
        calls=tuple(_calls(plan, next_day)) if plan and next_day else (),
        calls_head=_calls_head(yard, next_day),
    )


def _calls_head(yard: YardSettings, day: date | None) -> str:
    time = said(yard.final_call_time, "H:i")
    if day is None:
        return _("Final calls at {time}").format(time=time)
    return _("Final calls at {time}, for {day}").format(time=time, day=weekday_day_month(day))


def _done(numbers: dict[int, int], day: date) -> list[str]:
    """What was finished on this day, with its number where the sheet has it."""
    return [
        (f"{numbers[job.pk]} " if job.pk in numbers else "")
        + f"{boat_name(job.order)}, {job.name}, {said(local(ended), 'H:i')}"
        for job in done_between(at_minute(day, 0), at_minute(day, 1440))
        if (ended := job.actual_ends_at) is not None
    ]


def _calls(plan: Plan, day: date) -> list[str]:
    """Whose owners are called before that day."""
    rows = afloat_between(plan, at_minute(day, 0), at_minute(day, 1440))
    firm, provisional = _("{job}, {time}"), _("{job}, {time}, provisional")
    return [
        (provisional if row.provisional else firm).format(job=_name(row), time=said(local(row.starts_at), "H:i"))
        for row in rows
    ]


def _name(row: PlannedJob) -> str:
    return f"{boat_name(row.job.order)}, {row.job.name}"


def _now(rows: Sequence[PlannedJob], numbers: dict[int, int], now: datetime) -> list[str]:
    """What is under way, and what comes next."""
    lines = []
    for row in rows:
        if row.job.state != Job.State.DONE and row.starts_at <= now < row.ends_at:
            people = ", ".join(each.name for each in row.planned_people.all())
            until = local(row.ends_at)
            time = said(until, "H:i" if until.date() == local(now).date() else "D H:i")
            words = _("{number} {job}, until {time}: {people}") if people else _("{number} {job}, until {time}")
            lines.append(words.format(number=numbers[row.job_id], job=_name(row), time=time, people=people))
    ahead = next((row for row in rows if row.starts_at > now and row.job.state != Job.State.DONE), None)
    if ahead is not None:
        lines.append(
            _("Next, {time}: {number} {job}").format(
                time=said(local(ahead.starts_at), "H:i"), number=numbers[ahead.job_id], job=_name(ahead)
            )
        )
    return lines


def _little_water(
    rows: Sequence[PlannedJob], numbers: dict[int, int], water: dict[int, JobWater], day: date
) -> list[str]:
    """Work whose water ends soon after it."""
    lines = []
    for row in rows:
        found = water.get(row.pk)
        wet = [span_on(part[1], part[2], day) for part in parts_of(row) if part[3]]
        if found is None or not wet or not isinstance(found.level, WaterLevel) or row.job.state == Job.State.DONE:
            continue
        name = f"{numbers[row.job_id]} {boat_name(row.job.order)}"
        span = next((each for each in found.spans if each.meets(wet[-1])), None)
        if span is None:
            lines.append(_("{boat}: no water for her then").format(boat=name))
        elif span.ends_min < 1440 and span.ends_min - wet[-1].ends_min < LITTLE_WATER_MIN:
            left_min = span.ends_min - wet[-1].ends_min
            words = _("{boat}: her water ends {minutes} min after she floats off")
            lines.append(words.format(boat=name, minutes=left_min))
    return lines


def _changes(plan: Plan, before: Plan, rows: Sequence[PlannedJob], day: date) -> list[str]:
    """What differs on this day from the plan before: come, gone, moved, other people."""
    starts_at, ends_at = at_minute(day, 0), at_minute(day, 1440)
    fresh = {row.job_id: row for row in rows}
    old = {row.job_id: row for row in rows_of_day(before, starts_at, ends_at, fresh)}
    gone = [row for key, row in old.items() if key not in fresh and row.job.state == Job.State.OPEN]
    where = rows_of_jobs(plan, [row.job_id for row in gone])
    lines = [line for row in rows if (line := _change(row, old.get(row.job_id), day))]
    for row in gone:
        goes = where.get(row.job_id)
        words = _("{job}: goes to {time}") if goes else _("{job}: is not planned any more")
        lines.append(words.format(job=_name(row), time=_at(goes.starts_at, day) if goes else ""))
    more = len(lines) - MOST_CHANGES
    return lines if more <= 0 else [*lines[:MOST_CHANGES], _("and {n} more").format(n=more)]


def _change(row: PlannedJob, old: PlannedJob | None, day: date) -> str:
    if old is None:
        return _("{job}: new").format(job=_name(row))
    now, was = _at(row.starts_at, day), _at(old.starts_at, day)
    if row.starts_at == old.starts_at:
        now, was = (", ".join(sorted(each.name for each in one.planned_people.all())) for one in (row, old))
    return _("{job}: {now}, was {was}").format(job=_name(row), now=now, was=was) if now != was else ""


def _next_open(day: date, rows: DayRows) -> date | None:
    """The next day on which the yard is open."""
    for ahead in range(1, CALL_AHEAD_DAYS + 1):
        following = day + timedelta(days=ahead)
        if following not in rows.holidays and (not rows.open_weekdays or following.weekday() in rows.open_weekdays):
            return following
    return None


def _at(at: datetime, day: date) -> str:
    """10:30, or Mon 10 May 10:30 on another day."""
    shown = local(at)
    return said(shown, "H:i" if shown.date() == day else "D j M H:i")
