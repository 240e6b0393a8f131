"""Her jobs and the waits between them as rows, in the order of time: all open orders as one network."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from yard.day_names import said
from yard.models import Fact, Job, JobLink, PlannedJob, Trade, WaterNeed, YardSettings
from yard.queries.boat_page import BoatRows
from yard.services.product_limits import WeatherBook, sheets_by_job
from yard.web.boats.water import HerWater, RampJob
from yard.web.boats.weather import weather_words
from yard.web.boats.words import date_words, hours_words, span_words, when_words
from yard.web.days.place_words import units_words
from yard.web.units import local

STATES = {
    "done": gettext_lazy("done"),
    "started": gettext_lazy("started"),
    "next": gettext_lazy("next"),
    "provisional": gettext_lazy("provisional"),
    "stopped": gettext_lazy("stopped"),
}
SHORT_WAIT_MIN = 60
"""Shorter waits are no row of their own."""


@dataclass(frozen=True)
class JobLine:
    """One job. state: one of STATES or "". critical: on the way to her last job; filed: it
    can be had as a file for a calendar."""

    job: Job
    css: str
    shape: str
    when: str
    who: str
    where: str
    needs: str
    state: str
    critical: bool
    order: str
    filed: bool

    is_wait = False

    @property
    def state_words(self) -> str:
        return str(STATES[self.state]) if self.state else ""


@dataclass(frozen=True)
class WaitLine:
    """What passes between two jobs. late: it costs her the date."""

    words: str
    length: str
    why: str
    critical: bool
    late: bool = False

    is_wait = True


Line = JobLine | WaitLine


@dataclass(frozen=True)
class Times:
    """When each job starts and ends, planned or true, by job id; jobs without a time are not in it."""

    starts: dict[int, datetime]
    ends: dict[int, datetime]

    def ready_after(self, link: JobLink, planned: dict[int, PlannedJob]) -> datetime | None:
        """When what follows may start: the end, the weather allowance through it, and the wait."""
        ends = self.ends.get(link.before_id)
        if ends is None:
            return None
        row = planned.get(link.before_id)
        if row is not None and row.holds_until is not None and row.ends_at == ends:
            ends = max(ends, row.holds_until)
        return ends + timedelta(minutes=link.min_wait_min)


def times_of(rows: BoatRows) -> Times:
    starts, ends = {}, {}
    for job in rows.network.jobs:
        planned = rows.planned.jobs.get(job.pk)
        begins = job.actual_starts_at or (planned.starts_at if planned else None)
        finished = job.actual_ends_at or (planned.ends_at if planned else None)
        if begins is None and job.actual_ends_at is not None:
            begins = job.actual_ends_at
        if begins is not None and finished is not None:
            starts[job.pk], ends[job.pk] = begins, max(begins, finished)
    return Times(starts, ends)


def last_before(rows: BoatRows, times: Times, job: int) -> tuple[JobLink, datetime] | None:
    """What a job waited for last, and when that let it go."""
    known = [(link, times.ready_after(link, rows.planned.jobs)) for link in rows.network.links if link.after_id == job]
    ready = [(link, at) for link, at in known if at is not None]
    return max(ready, key=lambda pair: (pair[1], pair[0].pk)) if ready else None


def on_the_way_to_the_last(rows: BoatRows, times: Times) -> frozenset[int]:
    """Her last job, what it waited for last, what that waited for last, and so on back."""
    if not times.ends:
        return frozenset()
    job: int | None = max(times.ends, key=lambda pk: (times.ends[pk], pk))
    found: set[int] = set()
    while job is not None and job not in found:
        found.add(job)
        before = last_before(rows, times, job)
        job = before[0].before_id if before else None
    return frozenset(found)


def ramp_job(rows: BoatRows, times: Times) -> RampJob | None:
    """Her next work on the ramp that is not done; None where there is none."""
    for job in rows.network.jobs:
        if job.water_need != WaterNeed.RAMP or job.state in (Job.State.DONE, Job.State.FAILED):
            continue
        before, planned = last_before(rows, times, job.pk), rows.planned.jobs.get(job.pk)
        names = {each.pk: each.name for each in rows.network.jobs}
        after = names.get(before[0].before_id, "") if before else ""
        floats = (planned.floats_at or planned.starts_at) if planned else None
        return RampJob(job, before[1] if before else None, after, floats)
    return None


def dry_days(water: HerWater | None, ramp: RampJob | None) -> tuple[WaitOfWater, ...]:
    """That no tide floats her between the day she is ready and the day she goes; empty where one would."""
    if water is None or ramp is None or ramp.ready_at is None or ramp.floats_at is None or not water.days:
        return ()
    ready, goes = max(local(ramp.ready_at).date(), water.days[0].day), local(ramp.floats_at).date()
    between = [each for each in water.days if ready <= each.day < goes]
    if not between or goes > water.days[-1].day or water.first_tide is None or water.first_tide < goes:
        return ()
    return (WaitOfWater(ready, goes, len(between)),)


@dataclass(frozen=True)
class WaitOfWater:
    """Days from `ready` to `goes` (outside) on which she has no water in working hours."""

    ready: date
    goes: date
    days: int


def lines_of(
    rows: BoatRows, times: Times, water: HerWater | None, ramp: RampJob | None, yard: YardSettings, *, late: bool
) -> list[Line]:
    """All her jobs by time, each after the wait that it sat out; jobs without a time stand last."""
    weather_book = WeatherBook.of(
        yard, sheets_by_job(rows.network.links, {job.pk: job.kind_id for job in rows.network.jobs})
    )
    critical = on_the_way_to_the_last(rows, times)
    several = len({job.order_id for job in rows.network.jobs}) > 1
    place = {job.pk: number for number, job in enumerate(rows.network.jobs)}
    jobs = sorted(rows.network.jobs, key=lambda job: (_instant(times.starts.get(job.pk)), place[job.pk]))
    following = next((job.pk for job in jobs if job.state == Job.State.OPEN and job.pk in times.starts), None)
    lines: list[Line] = []
    for job in jobs:
        lines += _waits_before(rows, times, job, critical)
        if ramp is not None and job.pk == ramp.job.pk:
            lines += [_dry_line(dry, water, job.pk in critical, late) for dry in dry_days(water, ramp)]
        weather = weather_words(job, weather_book, yard)
        lines.append(
            _line(rows, job, critical, several=several, following=job.pk == following, water=water, weather=weather)
        )
    return lines


def _instant(at: datetime | None) -> float:
    return at.timestamp() if at is not None else float("inf")


def _waits_before(rows: BoatRows, times: Times, job: Job, critical: frozenset[int]) -> list[WaitLine]:
    """The wait that let the job go last, where it is one worth a row."""
    found = last_before(rows, times, job.pk)
    if found is None or found[0].min_wait_min < SHORT_WAIT_MIN:
        return []
    link, ready = found
    before = next(each for each in rows.network.jobs if each.pk == link.before_id)
    sheet = link.product_sheet.name if link.product_sheet else ""
    return [
        WaitLine(
            words=_("{wait}, to {when}").format(
                wait=link.reason or _("Wait after {job}").format(job=before.name), when=when_words(ready)
            ),
            length=hours_words(link.min_wait_min),
            why=sheet or link.source,
            critical=job.pk in critical and link.before_id in critical,
        )
    ]


def _dry_line(dry: WaitOfWater, water: HerWater | None, critical: bool, late: bool) -> WaitLine:
    needs = water.needs_words if water else ""
    return WaitLine(
        words=_("No tide floats her"),
        length=ngettext("{n} day", "{n} days", dry.days).format(n=dry.days),
        why=_("{needs} for 30 min in working hours").format(needs=needs),
        critical=critical,
        late=late,
    )


def _line(
    rows: BoatRows,
    job: Job,
    critical: frozenset[int],
    *,
    several: bool,
    following: bool,
    water: HerWater | None,
    weather: str,
) -> JobLine:
    planned = rows.planned.jobs.get(job.pk)
    return JobLine(
        job=job,
        css=_css(job, planned),
        shape=_shape(job),
        when=_when(job, planned),
        who=_who(rows, job, planned),
        where=_where(planned) if planned and job.state != Job.State.DONE else "",
        needs=_needs(job, planned, water, weather),
        state=_state(job, planned, following),
        critical=job.pk in critical,
        order=job.order.name if several else "",
        filed=planned is not None and job.state != Job.State.DONE,
    )


def _css(job: Job, planned: PlannedJob | None) -> str:
    if job.state == Job.State.DONE:
        return "done"
    group = "launch" if job.kind.trade in (Trade.LAUNCH, Trade.MOORING) else job.kind.trade
    return f"g-{group} prov" if planned is None or planned.provisional else f"g-{group}"


def _shape(job: Job) -> str:
    if job.water_need == WaterNeed.RAMP:
        return "hull"
    return "buoy" if job.kind.trade == Trade.MOORING or job.water_need == WaterNeed.MOORING else "box"


def _when(job: Job, planned: PlannedJob | None) -> str:
    if job.state == Job.State.DONE and job.actual_ends_at is not None:
        return date_words(local(job.actual_ends_at).date())
    if job.state == Job.State.FAILED:
        return _("stopped")
    if planned is None:
        return _("not planned")
    return span_words(planned.starts_at, planned.ends_at)


def _who(rows: BoatRows, job: Job, planned: PlannedJob | None) -> str:
    if job.pk in rows.work:
        return ", ".join(rows.work[job.pk])
    return ", ".join(person.name for person in planned.planned_people.all()) if planned else ""


def _where(planned: PlannedJob) -> str:
    return ", ".join(units_words(planned.planned_places.all(), short=True))


def _needs(job: Job, planned: PlannedJob | None, water: HerWater | None, weather: str) -> str:
    """What a job needs beside hands and places, and the facts it waits on."""
    if job.state == Job.State.DONE:
        return ""
    words = [_water_words(job, planned, water)]
    words.append(weather)
    words += [
        _("waiting on {fact}").format(fact=fact.name) for fact in job.facts.all() if fact.state != Fact.State.HERE
    ]
    if job.needs_light and job.water_need == WaterNeed.NONE:
        words.append(_("daylight"))
    return "; ".join(word for word in words if word)


def _water_words(job: Job, planned: PlannedJob | None, water: HerWater | None) -> str:
    if job.water_need == WaterNeed.NONE:
        return ""
    if job.water_need != WaterNeed.RAMP or planned is None or water is None or planned.floats_at is None:
        return _("water {where}").format(where=job.get_water_need_display())
    floats = said(local(planned.floats_at), "H:i")
    windows = water.window_words(planned.floats_at)
    if not windows:
        return _("floats off {time}").format(time=floats)
    return _("floats off {time}, water {windows}").format(time=floats, windows=windows)


def _state(job: Job, planned: PlannedJob | None, following: bool) -> str:
    match job.state:
        case Job.State.DONE | Job.State.STARTED:
            return job.state
        case Job.State.FAILED:
            return "stopped"
    if planned is not None and planned.provisional:
        return "provisional"
    return "next" if following else ""


def all_done(jobs: Sequence[Job]) -> bool:
    return bool(jobs) and all(job.state == Job.State.DONE for job in jobs)
