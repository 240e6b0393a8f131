"""The day sheet: who does what, where and when, and the water, from the posted plan's rows of one day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.day_names import said
from yard.models import (
    GaugeReading,
    HourlyForecast,
    Job,
    OwnersRun,
    Pausing,
    Person,
    Plan,
    PlannedJob,
    WaterNeed,
    YardSettings,
)
from yard.pictures.day_sheet import DaySheetPicture, lay_out
from yard.pictures.day_sheet_input import DayJob, DaySheetInput, LaunchParts, PersonDay, PlaceDay, WaterFor
from yard.pictures.lettering import height_text
from yard.pictures.shapes import CurvePoint, JobState, Span, TradeGroup
from yard.pictures.tide_curve import tide_words
from yard.pictures.tide_curve_input import Extreme, Level
from yard.queries.days import DayRows
from yard.queries.runs import carried
from yard.queries.sails import damp_sails
from yard.services.read_problem import WaterLevel
from yard.tides.source import TideError, TideSource
from yard.web.days.day_side import DaySide, day_side
from yard.web.days.gauge import gauge_now
from yard.web.days.gusts import DayWind, day_wind
from yard.web.days.hours import minute_of, span_on, stretches
from yard.web.days.job_water import JobWater, job_water, water_words
from yard.web.days.place_words import unit_name, units_words
from yard.web.days.ramp_work import boat_address, boat_name, parts_of
from yard.web.days.water import NoTide, events_on, heights_at, light_of
from yard.web.runs.words import RunLine, run_lines
from yard.web.sails.words import DampLine, damp_lines
from yard.web.units import height, height_unit, local, minute_on

USUAL_HOURS = Span(7 * 60, 17 * 60)
"""The sheet's hours where the yard has entered none (common practice)."""
SHORT_SKILLS = {
    "hand": gettext_lazy("yard"),
    "operator": gettext_lazy("machines"),
    "rigger": gettext_lazy("rig"),
    "sailmaker": gettext_lazy("sails"),
    "canvas": gettext_lazy("canvas"),
    "coxswain": gettext_lazy("workboat"),
    "driver": gettext_lazy("road"),
    "mooring_tackle": gettext_lazy("moorings"),
}
MOST_SKILLS = 2
"""Skills named under a person; those led come first."""


@dataclass(frozen=True)
class TableRow:
    """A job of the numbered table; times as text, water: her window in words, "" where she needs none.

    drag_from: its start as a script reads it, "09:15"; "" for a job that began on another day.
    """

    number: int
    starts: str
    ends: str
    boat: str
    boat_url: str
    job: str
    provisional: bool
    done: bool
    people: str
    place: str
    water: str
    cautions: str
    job_pk: int
    drag_from: str


@dataclass(frozen=True)
class DaySheet:
    """no_tide: why the water is not known, "" if it is. runs: owners' runs, numbered after the jobs."""

    picture: DaySheetPicture
    rows: tuple[TableRow, ...]
    tide_words: str
    light_words: str
    no_tide: str
    side: DaySide
    damp: tuple[DampLine, ...]
    runs: tuple[tuple[int, RunLine], ...]


@dataclass(frozen=True)
class Told:
    """What a sheet is made of. tides: at "ramp" and "field". floated: the gauge at which each boat last floated."""

    yard: YardSettings
    day: date
    now: datetime
    rows: DayRows
    tides: dict[str, TideSource | NoTide]
    floated: dict[int, GaugeReading]
    plan: Plan | None
    forecast: HourlyForecast | None


def day_sheet(told: Told) -> DaySheet:
    """The sheet; where the tide's table does not reach that day, the sheet without its water."""
    try:
        return _day_sheet(told)
    except TideError as error:
        unknown = NoTide(_("The tide of this day is not known: {why}").format(why=error))
        return _day_sheet(replace(told, tides=dict.fromkeys(told.tides, unknown)))


def _day_sheet(told: Told) -> DaySheet:
    numbered = list(enumerate(told.rows.jobs, start=1))
    water = {
        row.pk: found
        for row in told.rows.jobs
        if (found := job_water(row.job, told.yard, told.day, told.tides, told.floated)) is not None
    }
    wind = day_wind(told.forecast, told.rows.jobs, told.day, told.yard, now=told.now)
    values = _input(told, numbered, water, wind)
    light = light_of(told.yard, told.day)
    ramp = told.tides["ramp"]
    return DaySheet(
        picture=lay_out(values),
        rows=tuple(_table_row(told, number, row, water.get(row.pk)) for number, row in numbered),
        tide_words="" if isinstance(ramp, NoTide) else tide_words(values.extremes, values.height_unit),
        light_words=(
            _("Sunrise {sunrise}, sunset {sunset}.").format(
                sunrise=said(local(light.sunrise), "H:i"), sunset=said(local(light.sunset), "H:i")
            )
            if light.sunrise and light.sunset
            else ""
        ),
        runs=tuple(enumerate(run_lines(told.rows.runs, told.day), start=len(numbered) + 1)),
        no_tide=ramp.reason if isinstance(ramp, NoTide) else "",
        damp=damp_lines(damp_sails(told.now), told.now) if told.day >= local(told.now).date() else (),
        side=day_side(told.yard, told.plan, told.day, told.rows, water, wind, gauge=_gauge_words(told), now=told.now),
    )


def _input(
    told: Told, numbered: Sequence[tuple[int, PlannedJob]], water: dict[int, JobWater], wind: DayWind
) -> DaySheetInput:
    yard, day, light = told.yard, told.day, light_of(told.yard, told.day)
    people = tuple(_person(told, person, numbered) for person in told.rows.people if _is_shown(person, told))
    tide = told.tides["ramp"]
    curve: tuple[CurvePoint, ...] = ()
    extremes: tuple[Extreme, ...] = ()
    if not isinstance(tide, NoTide):
        minutes = range(0, 1441, 10)
        heights = heights_at(tide, day, minutes)
        curve = tuple(CurvePoint(m, height(float(h), yard)) for m, h in zip(minutes, heights, strict=True))
        extremes = tuple(
            Extreme(minute_on(e.at, day), height(e.height_m, yard), e.kind == "high") for e in events_on(tide, day)
        )
    now_min = minute_on(told.now, day)
    return DaySheetInput(
        day=day,
        axis=_axis(told, people),
        sunrise_min=minute_on(light.sunrise, day) if light.sunrise else None,
        sunset_min=minute_on(light.sunset, day) if light.sunset else None,
        curve=curve,
        extremes=extremes,
        ramp=_ramp_level(yard, numbered, water),
        gusts=wind.gusts,
        gust_limit=wind.limit,
        water_for=tuple(_water_for(told, number, row, water[row.pk]) for number, row in _floating(numbered, water)),
        people=people,
        places=_places(told, numbered),
        now_min=now_min if 0 <= now_min < 1440 else None,
        height_unit=height_unit(yard),
    )


def _axis(told: Told, people: Sequence[PersonDay]) -> Span:
    """Whole hours from the first to the last of the shop's hours, and of whatever hands do beyond them."""
    spans = [Span(minute_of(row.starts), minute_of(row.ends) or 1440) for row in told.rows.shop] or [USUAL_HOURS]
    spans += [job.span for person in people for job in person.jobs]
    starts = min(max(0, span.starts_min) for span in spans) // 60 * 60
    ends = -(-max(min(1440, span.ends_min) for span in spans) // 60) * 60
    return Span(starts, max(ends, starts + 60))


def _floating(numbered: Sequence[tuple[int, PlannedJob]], water: dict[int, JobWater]) -> list[tuple[int, PlannedJob]]:
    """Work on the ramp whose water is known and there is some."""
    return [
        (number, row)
        for number, row in numbered
        if row.job.water_need == WaterNeed.RAMP and isinstance(water[row.pk].level, WaterLevel) and water[row.pk].spans
    ]


def _water_for(told: Told, number: int, row: PlannedJob, water: JobWater) -> WaterFor:
    """The window that she uses: the one that meets the stretch afloat, else the longest."""
    level, spans = water.level, water.spans
    assert isinstance(level, WaterLevel)
    wet = [span_on(part[1], part[2], told.day) for part in parts_of(row) if part[3]]
    used = [span for span in spans if any(span.meets(each) for each in wet)] or spans
    best = max(used, key=lambda span: span.length_min)
    return WaterFor(number, boat_name(row.job.order), height(level.rising_m, told.yard), best)


def _ramp_level(
    yard: YardSettings,
    numbered: Sequence[tuple[int, PlannedJob]],
    water: dict[int, JobWater],
) -> Level | None:
    """What the least boat of the day needs; without one, nothing is drawn."""
    levels = [
        level.rising_m
        for _number, row in numbered
        if row.job.water_need == WaterNeed.RAMP and isinstance(level := water[row.pk].level, WaterLevel)
    ]
    if not levels:
        return None
    least = height(min(levels), yard)
    words = _("for a boat needing {height} {unit}").format(height=height_text(least), unit=height_unit(yard))
    return Level(least, words)


def _gauge_words(told: Told) -> str:
    """What the gauge says against the prediction today, "" where no reading holds. One query, and only today."""
    ramp = told.tides["ramp"]
    if isinstance(ramp, NoTide) or told.day != local(told.now).date():
        return ""
    gauge = gauge_now(ramp, told.yard, now=told.now)
    return "" if gauge is None else f"{gauge.warning} {_('This sheet shows the prediction.')}"


def short_skill(key: str, name: str) -> str:
    """What fits under a name: the usual skills by their work, a yard's own by its first word."""
    return str(SHORT_SKILLS.get(key, "")) or name.split(" ")[0].lower()


def _is_shown(person: Person, told: Told) -> bool:
    """Everybody of the yard; a contractor on the days agreed, or when the plan names one."""
    planned = any(each.person_id == person.pk for row in told.rows.jobs for each in row.planned_people.all())
    return planned or not person.contractor or bool(stretches(person, told.day, told.rows.holidays))


def _person(told: Told, person: Person, numbered: Sequence[tuple[int, PlannedJob]]) -> PersonDay:
    here = stretches(person, told.day, told.rows.holidays)
    hours = Span(here[0].starts_min, here[-1].ends_min) if here else None
    jobs = [
        job
        for number, row in numbered
        if any(each.person_id == person.pk for each in row.planned_people.all())
        for job in _bars(told, number, row, here)
    ]
    jobs += [bar for run, bar in _run_bars(told, numbered) if any(each.pk == person.pk for each in run.people.all())]
    skills = sorted(person.skills.all(), key=lambda each: (-each.level, each.skill.name))
    return PersonDay(
        name=person.short_name,
        skills=", ".join(short_skill(each.skill.key, each.skill.name) for each in skills[:MOST_SKILLS]),
        hours=hours,
        meal=Span(here[0].ends_min, here[1].starts_min) if len(here) > 1 else None,
        jobs=tuple(jobs),
    )


def _bars(told: Told, number: int, row: PlannedJob, here: Sequence[Span]) -> list[DayJob]:
    """A job in a person's row; bench work that pauses is cut at the meal and at the day's end."""
    whole = span_on(row.starts_at, row.ends_at, told.day)
    launch = _launch_parts(row, told.day)
    job = _job(told, number, row, whole, launch)
    if row.job.kind.pausing != Pausing.PAUSED or launch is not None:
        return [job]
    parts = [Span(max(whole.starts_min, s.starts_min), min(whole.ends_min, s.ends_min)) for s in here if s.meets(whole)]
    return [_job(told, number, row, part, None) for part in parts] or [job]


def _job(told: Told, number: int, row: PlannedJob, span: Span, launch: LaunchParts | None) -> DayJob:
    states = {True: JobState.PROVISIONAL, False: JobState.PLANNED}
    return DayJob(
        number=number,
        boat=boat_name(row.job.order),
        job=row.job.kind.short_name or row.job.name,
        group=TradeGroup(row.job.kind.trade),
        span=span,
        place=", ".join(units_words(row.planned_places.all(), told.yard, short=True)),
        state=JobState.DONE if row.job.state == Job.State.DONE else states[row.provisional],
        launch=launch,
    )


def _launch_parts(row: PlannedJob, day: date) -> LaunchParts | None:
    """The three parts of work on the ramp; None for anything else."""
    parts = parts_of(row)
    wet = [part for part in parts if part[3]]
    if row.job.water_need != WaterNeed.RAMP or not row.part_times or not wet:
        return None
    before = [part for part in parts if part[2] <= wet[0][1]]
    after = [part for part in parts if part[1] >= wet[-1][2]]
    return LaunchParts(
        float_off=span_on(wet[0][1], wet[-1][2], day),
        load=span_on(before[0][1], before[-1][2], day) if before else None,
        trailer_back=span_on(after[0][1], after[-1][2], day) if after else None,
    )


def _run_bars(told: Told, numbered: Sequence[tuple[int, PlannedJob]]) -> list[tuple[OwnersRun, DayJob]]:
    """Owners' runs as bars, numbered after the jobs."""
    return [
        (
            run,
            DayJob(
                number=number,
                boat=_("Owners"),
                job=carried(run.wishes.all()) or _("run"),
                group=TradeGroup.MOORING,
                span=span_on(run.leaves_at, run.back_at, told.day),
                place=run.place.short_name or run.place.name,
            ),
        )
        for number, run in enumerate(told.rows.runs, start=len(numbered) + 1)
    ]


def _places(told: Told, numbered: Sequence[tuple[int, PlannedJob]]) -> tuple[PlaceDay, ...]:
    """Every unit of a place that the plan uses that day, in the yard's own order."""
    used: dict[tuple[int, str, int, int], list[DayJob]] = {}
    names: dict[tuple[int, str, int, int], str] = {}
    for number, row in numbered:
        span, seen = span_on(row.starts_at, row.ends_at, told.day), set[int]()
        for each in row.planned_places.all():
            if each.place_id in seen and each.place.line_m:
                continue  # one lane for a sail, however many stretches of line it takes
            seen.add(each.place_id)
            key = (each.place.sequence, each.place.name, each.place_id, each.unit)
            names[key] = f"{unit_name(each, short=True)}{f' {each.unit}' if each.place.line_m else ''}"
            used.setdefault(key, []).append(_job(told, number, row, span, None))
    for run, bar in _run_bars(told, numbered):
        key = (run.place.sequence, run.place.name, run.place_id, 1)
        names.setdefault(key, run.place.short_name or run.place.name)
        used.setdefault(key, []).append(bar)
    return tuple(PlaceDay(names[key], tuple(used[key])) for key in sorted(used))


def _table_row(told: Told, number: int, row: PlannedJob, water: JobWater | None) -> TableRow:
    order, begins = row.job.order, local(row.starts_at)
    return TableRow(
        number=number,
        starts=_time(row.starts_at, told.day),
        ends=_time(row.ends_at, told.day),
        boat=boat_name(order),
        boat_url=boat_address(order.boat),
        job=row.job.name,
        provisional=row.provisional,
        done=row.job.state == Job.State.DONE,
        people=", ".join(each.name for each in row.planned_people.all()),
        place=", ".join(units_words(row.planned_places.all(), told.yard, short=True)),
        water=water_words(water, told.yard),
        cautions=cautions_of(row.job),
        job_pk=row.job_id,
        drag_from=f"{begins:%H:%M}" if begins.date() == told.day else "",
    )


def cautions_of(job: Job) -> str:
    """Its cautions, and what was waived for it with the reason; the job's waivers that stand are at hand."""
    words = _("Waived: {limit}. Because: {reason}.")
    waived = (words.format(limit=each.limit or each.rule, reason=each.reason) for each in job.waivers.all())
    return " ".join(part for part in (job.cautions or job.kind.cautions, *waived) if part)


def _time(at: datetime, day: date) -> str:
    """09:15, or Thu 6 May 09:15 on another day."""
    shown = local(at)
    return said(shown, "H:i" if shown.date() == day else "D j M H:i")
