"""The crew's day on a phone: what now, what then, the water and the wind, in words for one hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _

from yard.day_names import clock_said, said
from yard.models import Item, Job, Person, Place, PlannedJob, WeatherClass
from yard.pictures.lettering import height_text
from yard.pictures.shapes import CurvePoint, Span
from yard.pictures.tide_curve import TideCurvePicture, lay_out
from yard.pictures.tide_curve_input import Extreme, TideCurveInput
from yard.queries.phone import places_to_lie
from yard.queries.sails import DRY, UNBEND, damp_sails, sails_of_jobs
from yard.tides.source import TideError
from yard.web.days.day_sheet import Told, cautions_of
from yard.web.days.gusts import day_wind
from yard.web.days.job_water import job_water, water_words
from yard.web.days.place_words import units_words
from yard.web.days.ramp_work import boat_address, boat_name, parts_of
from yard.web.days.water import NoTide, events_on, heights_at
from yard.web.runs.words import RunLine, run_lines
from yard.web.sails.words import DampLine, damp_lines
from yard.web.units import height, height_unit, local, minute_on

CURVE_STEP_MIN = 15
AXIS = Span(5 * 60, 21 * 60)
NEEDS_A_SECOND = {WeatherClass.MAST, WeatherClass.AFLOAT}
DAYS_OFFERED = 8


@dataclass(frozen=True)
class Part:
    name: str
    at: str
    now: bool
    done: bool


@dataclass(frozen=True)
class PhoneJob:
    """One job in words. second: who is there besides, for work aloft, in slings or on the water; "" elsewhere.

    state: open, started, done or stopped. gang: how many finish with one press. lie: berths to say tonight's from.
    """

    pk: int
    number: int
    starts: str
    ends: str
    boat: str
    boat_url: str
    job: str
    place: str
    people: str
    gang: int
    water: str
    cautions: str
    second: str
    alone: bool
    provisional: bool
    state: str
    note: str
    parts: tuple[Part, ...]
    mine: bool
    asks_where: bool
    kind: str
    order_pk: int
    sails: tuple[Item, ...]


@dataclass(frozen=True)
class PhoneDay:
    """current: the job under way, or the next; then: the others to do; done: what is finished."""

    day: date
    today: bool
    current: PhoneJob | None
    then: tuple[PhoneJob, ...]
    done: tuple[PhoneJob, ...]
    tide_now: str
    tide_words: str
    curve: TideCurvePicture | None
    damp: tuple[DampLine, ...]
    runs: tuple[RunLine, ...]
    gusts: tuple[tuple[str, str], ...]
    gust_limit: str
    forecast: str
    next_day: str
    places: tuple[Place, ...]
    days: tuple[tuple[date, bool], ...]


def phone_day(told: Told, person: Person | None, next_row: PlannedJob | None) -> PhoneDay:
    """person: whose day it is; None: the yard's. next_row: the first job after a day without any."""
    sails = sails_of_jobs(row.job for row in told.rows.jobs if row.job.kind.key in (UNBEND, DRY))
    rows = [
        _job(told, number, row, person, sails.get(row.job_id, ())) for number, row in enumerate(told.rows.jobs, start=1)
    ]
    shown = [job for job in rows if person is None or job.mine]
    is_today = told.day == local(told.now).date()
    to_do = [job for job in shown if job.state != "done"]
    current = _current(to_do) if is_today else None
    wind = day_wind(told.forecast, told.rows.jobs, told.day, told.yard, now=told.now)
    today, tide = local(told.now).date(), _tide(told, is_today)
    return PhoneDay(
        day=told.day,
        today=is_today,
        current=current,
        then=tuple(job for job in to_do if job is not current),
        done=tuple(job for job in shown if job.state == "done"),
        tide_now=tide.now,
        tide_words=tide.words,
        curve=tide.curve,
        damp=damp_lines(damp_sails(told.now), told.now),
        runs=run_lines(told.rows.runs, told.day, of=person.pk if person is not None else None),
        gusts=tuple((f"{each.minute // 60:02}", f"{each.kn:.0f}") for each in wind.gusts if _by_day(each.minute)),
        gust_limit=f"{wind.limit.whose} {wind.limit.kn:g} kn" if wind.limit is not None else "",
        forecast=wind.words,
        next_day=_next_words(next_row) if not shown and next_row is not None else "",
        places=tuple(places_to_lie()) if any(job.asks_where for job in shown) else (),
        days=tuple((today + timedelta(days=n), today + timedelta(days=n) == told.day) for n in range(DAYS_OFFERED)),
    )


def _by_day(minute: int) -> bool:
    return AXIS.starts_min <= minute < AXIS.ends_min


def _current(to_do: Sequence[PhoneJob]) -> PhoneJob | None:
    """What is under way, else what comes next by the clock."""
    return next((job for job in to_do if job.state == "started"), to_do[0] if to_do else None)


def _job(told: Told, number: int, row: PlannedJob, person: Person | None, sails: tuple[Item, ...]) -> PhoneJob:
    job, others = row.job, [each for each in row.planned_people.all() if person is None or each.person_id != person.pk]
    names = ", ".join(each.name for each in others)
    needs_second = (
        job.kind.not_alone or job.water_need != "none" or job.weather_class in NEEDS_A_SECOND or _in_slings(row)
    )
    count = len(row.planned_people.all())
    return PhoneJob(
        pk=job.pk,
        number=number,
        starts=_clock(row.starts_at, told.day),
        ends=_clock(row.ends_at, told.day),
        boat=boat_name(job.order),
        boat_url=boat_address(job.order.boat),
        job=job.name,
        place=", ".join(units_words(row.planned_places.all(), told.yard)),
        people=names,
        gang=count,
        water=_water(told, row),
        cautions=cautions_of(job),
        second=names if needs_second and count > 1 else "",
        alone=needs_second and count < 2,
        provisional=row.provisional,
        state=_state(job),
        note=job.state_note,
        parts=_parts(row, told.now),
        mine=person is not None and len(others) < count,
        asks_where=job.order.boat is not None and job.water_need != "none",
        kind=job.kind.key,
        order_pk=job.order_id,
        sails=sails,
    )


def _in_slings(row: PlannedJob) -> bool:
    return any(each.place.kind in ("slings", "gin_pole") for each in row.planned_places.all())


def _state(job: Job) -> str:
    if job.state == Job.State.OPEN and job.state_note:
        return "stopped"
    return str(job.state)


def _clock(at: datetime, day: date) -> str:
    shown = local(at)
    return said(shown, "H:i") if shown.date() == day else said(shown, "D H:i")


def _parts(row: PlannedJob, now: datetime) -> tuple[Part, ...]:
    """A launch's three parts; nothing for work of one part."""
    if len(row.part_times) < 2:
        return ()
    return tuple(
        Part(
            name,
            _("to {time}").format(time=said(local(ends), "H:i"))
            if starts <= now < ends
            else said(local(starts), "H:i"),
            starts <= now < ends,
            ends <= now,
        )
        for name, starts, ends, _wet in parts_of(row)
    )


def _water(told: Told, row: PlannedJob) -> str:
    try:
        return water_words(job_water(row.job, told.yard, told.day, told.tides, told.floated), told.yard)
    except TideError as error:
        return _("Water not known: {error}").format(error=error)


@dataclass(frozen=True)
class _Tide:
    now: str
    words: str
    curve: TideCurvePicture | None


def _tide(told: Told, is_today: bool) -> _Tide:
    """The curve, now and in words; why it is not known where it is not."""
    tide, yard, day = told.tides["ramp"], told.yard, told.day
    if isinstance(tide, NoTide):
        return _Tide("", tide.reason, None)
    try:
        minutes = range(AXIS.starts_min, AXIS.ends_min + 1, CURVE_STEP_MIN)
        heights = heights_at(tide, day, minutes)
        events = [(minute_on(e.at, day), height(e.height_m, yard), e.kind == "high") for e in events_on(tide, day)]
        now_min = minute_on(told.now, day) if is_today else None
        seen = heights_at(tide, day, [now_min, now_min + 10]) if now_min is not None else None
    except TideError as error:
        return _Tide("", _("The tide of this day is not known: {error}").format(error=error), None)
    curve = lay_out(
        TideCurveInput(
            day=day,
            axis=AXIS,
            curve=tuple(CurvePoint(m, height(float(h), yard)) for m, h in zip(minutes, heights, strict=True)),
            extremes=tuple(Extreme(*each) for each in events),
            now_min=now_min,
            height_unit=height_unit(yard),
            width=358,
            height=120,
        )
    )
    unit = height_unit(yard)
    words = "; ".join(
        f"{_('high') if high else _('low')} {clock_said(*divmod(minute, 60))}, {height_text(level)} {unit}"
        for minute, level, high in events
    )
    now = ""
    if seen is not None:
        way = _("rising") if float(seen[1]) > float(seen[0]) else _("falling")
        now = f"{height_text(height(float(seen[0]), yard))} {unit}, {way}."
    return _Tide(now, f"{words[:1].upper()}{words[1:]}.", curve)


def _next_words(row: PlannedJob) -> str:
    at = local(row.starts_at)
    return f"{said(at, 'l j F, H:i')}: {boat_name(row.job.order)}, {row.job.name}"
