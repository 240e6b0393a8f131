"""What the promise must know of the yard beside a plan: kinds, measured hours, weather, facts still expected."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from statistics import NormalDist

from django.utils.translation import gettext as _

from yard.models import DayOdds, Fact, Job, JobKind, Pausing, Plan, Trade, YardSettings
from yard.planning.plan import Plan as PlannerPlan
from yard.promise.draws import Doubt
from yard.promise.guess import half_days
from yard.promise.hours import BENCH_AND_RIG, ROUTINE, Scatter, learn, prior
from yard.promise.of_plan import LATE_CHANCE, LATE_DAYS, About, JobAbout, planned_season
from yard.promise.season import Expected, HalfDays, Milestone, PlannedSeason
from yard.services.product_limits import sheets_of
from yard.services.read_problem import ReadProblem
from yard.services.read_problem.forecast import hours_known
from yard.services.read_problem.weather import CLASS_OF, CLIMATE_FOLDER
from yard.services.stored_plan import plan_from_rows
from yard.services.weather_limits import WORK_OF, limits_of
from yard.weather.climate import HalfDayClimate, WorkClass, read_half_day_climate
from yard.weather.hourly import HOUR, Hour
from yard.weather.limits import Limits, WorkKind

FITTING_KINDS = ("fit_covers", "cushion_fit", "canvas_fit")
LAUNCH_KINDS = ("launch",)
DELIVERY_KINDS = ("deliver", "road_out")
# Sd of a forecast's wind, knots: 3 at once and 0.4 more a day (common practice; 12 models of one 30-day benchmark had
# 1.5 to 2.4 m/s).  A gust is as unsure as the wind times the usual gust factor.
WIND_SD_KN, WIND_SD_KN_A_DAY = 3.0, 0.4
GUST_FACTOR = 1.5
NOON_MIN = 12 * 60


@dataclass(frozen=True)
class PromiseInput:
    """season: to simulate.  marks: job row and milestone of each of its milestones.  rests_on: in words."""

    season: PlannedSeason
    doubt: Doubt
    marks: tuple[tuple[Job, str], ...]
    rests_on: str


@dataclass(frozen=True)
class PromiseGround:
    """What the promise reads beside a plan, and what does not change from one plan of a season to the next.

    by_sheet: whether a data sheet holds for any job; its limits of warmth and damp bind the plan, and are not drawn.
    """

    rows: Mapping[int, Job]
    hours: Sequence[Hour]
    by_sheet: bool
    weather: tuple[HalfDays, ...]
    doubt: Doubt

    def with_jobs(self, rows: Iterable[Job]) -> PromiseGround:
        """The same with jobs that were made since."""
        return replace(self, rows={**self.rows, **{row.pk: row for row in rows}})


def promise_ground(read: ReadProblem, *, without: Sequence[Job] = ()) -> PromiseGround:
    """The jobs with their kinds and facts, the forecast, the climate and what finished jobs teach.

    without: rows at hand already, which may be gone from the database by now.
    """
    wanted = set(read.jobs) - {row.pk for row in without}
    rows = Job.objects.select_related("kind", "order").prefetch_related("ways", "facts").in_bulk(list(wanted))
    hours, limits = hours_known(read.now), limits_of(YardSettings.objects.get(pk=1))
    weather = tuple(
        replace(each, forecast=_forecast(read, WorkClass(each.name), hours, limits)) for each in half_days(_climate())
    )
    return PromiseGround(rows, hours, bool(sheets_of(read.jobs)), weather, Doubt(kinds=learnt_hours()))


def promise_input(plan: Plan, read: ReadProblem) -> PromiseInput:
    """The plan's rows, laid on the facts as they are read now, with what is known of hours and weather."""
    return promise_of(read, plan_from_rows(plan, read), promise_ground(read))


def promise_of(
    read: ReadProblem, plan: PlannerPlan, ground: PromiseGround, *, only_order: int | None = None
) -> PromiseInput:
    """The same of a plan that no row holds. only_order: the id of the one order whose last day is asked for."""
    laid = _standing(plan)
    jobs = [ground.rows[pk] for pk in read.jobs]
    facts, numbers = _expected(read, jobs)
    marks = _marks(read, laid, jobs)
    if only_order is not None:
        marks = [row for row in marks if row[1].order_id == only_order and row[2] == DayOdds.Milestone.DONE]
    about = About(
        jobs={
            read.problem.jobs[index].key: _about(jobs[index], placed, ground.weather, numbers)
            for index, placed in ((p.job, read.problem.jobs[p.job].ways[p.way].name) for p in laid.placements)
        },
        weather=ground.weather,
        facts=facts,
        milestones=[mark for mark, _, _ in marks],
        midday_min=[
            read.axis.local(day, NOON_MIN) - start
            for day, start in zip(read.axis.dates, read.problem.calendar.day_starts, strict=True)
        ],
    )
    return PromiseInput(
        season=planned_season(read.problem, laid, about).season,
        doubt=ground.doubt,
        marks=tuple((job, milestone) for _, job, milestone in marks),
        rests_on=_rests_on(ground),
    )


def learnt_hours() -> dict[str, Scatter]:
    """What the yard's own finished jobs teach, by kind. A figure copied from the estimate teaches nothing."""
    pairs: dict[str, tuple[list[float], list[float]]] = defaultdict(lambda: ([], []))
    measured = Job.objects.filter(
        state=Job.State.DONE, worked_min__gt=0, hours_as_planned=False, left_min=None
    ).select_related("kind")
    for job in measured.prefetch_related("ways").order_by("id"):
        way = next(iter(job.ways.all()), None)
        if way is not None and job.worked_min is not None:
            estimated, worked = pairs[job.kind.key]
            estimated.append(float(way.duration_min))
            worked.append(float(job.worked_min))
    kinds = {kind.key: prior(_log_sd(kind)) for kind in JobKind.objects.order_by("id")}
    return {key: learn(before, *pairs[key]) if key in pairs else before for key, before in kinds.items()}


def _log_sd(kind: JobKind) -> float:
    bench = kind.trade in (Trade.RIG, Trade.LOFT) or kind.pausing != Pausing.FITTED
    return BENCH_AND_RIG if bench else ROUTINE


def _climate() -> HalfDayClimate:
    return read_half_day_climate((CLIMATE_FOLDER / "half_day.json").read_bytes())


def _standing(laid: PlannerPlan) -> PlannerPlan:
    """The plan without people and places that are gone: whoever else can takes their work."""
    placements = tuple(
        replace(
            row,
            people=() if -1 in row.people else row.people,
            places=tuple(each for each in row.places if each[0] >= 0),
        )
        for row in laid.placements
        if row.way >= 0
    )
    return replace(laid, placements=placements, stays=tuple(at for at in laid.stays if at.place >= 0))


def _about(job: Job, way_name: str, weather: Sequence[HalfDays], numbers: dict[int, int]) -> JobAbout:
    way = next((row for row in job.ways.all() if str(row.sequence) == way_name), None)
    median_min = job.left_min or (way.duration_min if way is not None else 15)
    names = [each.name for each in weather]
    work_class = CLASS_OF.get(job.weather_class) if job.outdoor else None
    return JobAbout(
        kind=job.kind.key,
        median_quarters=max(median_min / 15, 0.5),
        weather=-1 if work_class is None else names.index(work_class.value),
        facts=tuple(numbers[fact.pk] for fact in job.facts.all() if fact.pk in numbers),
    )


def _expected(read: ReadProblem, jobs: Iterable[Job]) -> tuple[tuple[Expected, ...], dict[int, int]]:
    """Facts not here yet, once each, and their numbers by row id. One whose day has passed may come tomorrow."""
    found: dict[int, Expected] = {}
    now = read.axis.minute(read.now)
    for job in jobs:
        for fact in job.facts.all():
            if fact.state == Fact.State.EXPECTED and fact.expected_date is not None and fact.pk not in found:
                minute = max(read.axis.local(fact.expected_date, 0), now)
                found[fact.pk] = Expected(
                    name=fact.name,
                    minute=minute,
                    late_chance=LATE_CHANCE,
                    late_days=LATE_DAYS * (2 if fact.guess else 1),
                )
    return tuple(found.values()), {pk: number for number, pk in enumerate(found)}


def _marks(read: ReadProblem, laid: PlannerPlan, jobs: Sequence[Job]) -> list[tuple[Milestone, Job, str]]:
    """Fittings, launches and deliveries, and the last job of every order."""
    placed = {row.job: row for row in laid.placements}
    last: dict[int, int] = {}
    for index, row in placed.items():
        order = jobs[index].order_id
        if order not in last or placed[last[order]].ends_at < row.ends_at:
            last[order] = index
    found: list[tuple[Milestone, Job, str]] = []
    for index in sorted(placed):
        job = jobs[index]
        if milestone := _milestone_of(job.kind.key):
            found.append(_mark(read, index, job, milestone, at_start=milestone != DayOdds.Milestone.FITTING))
        if last[job.order_id] == index:
            found.append(_mark(read, index, job, DayOdds.Milestone.DONE, at_start=False))
    return found


def _milestone_of(kind: str) -> str:
    for kinds, milestone in (
        (FITTING_KINDS, DayOdds.Milestone.FITTING),
        (LAUNCH_KINDS, DayOdds.Milestone.LAUNCH),
        (DELIVERY_KINDS, DayOdds.Milestone.DELIVERY),
    ):
        if kind in kinds:
            return milestone
    return ""


def _mark(read: ReadProblem, index: int, job: Job, milestone: str, *, at_start: bool) -> tuple[Milestone, Job, str]:
    """The promised date is the order's, and so is kept by what is done last."""
    promised = job.order.promised_date if milestone == DayOdds.Milestone.DONE else None
    mark = Milestone(
        key=f"{milestone}-{job.pk}",
        name=job.name,
        job=index,
        at_start=at_start,
        promised_day=None if promised is None else read.axis.due_day(promised),
    )
    return mark, job, milestone


def _forecast(
    read: ReadProblem, work_class: WorkClass, hours: Sequence[Hour], limits: Mapping[WorkKind, Limits]
) -> tuple[float, ...]:
    """The chance that each quarter from now on is lost, up to the end of the last whole half day that is forecast.

    limits: the yard's, as the planner has them.
    """
    known = {hour.start: hour for hour in hours}
    work = {row: WORK_OF[name] for name, row in CLASS_OF.items()}.get(work_class)
    if not known or work is None:
        return ()
    timeline, found = read.axis.timeline, []
    for position in range(min(read.problem.now, timeline.size - 1), timeline.size):
        at = timeline.starts_at(position)
        hour = known.get(at.replace(minute=0, second=0, microsecond=0))
        if hour is None:
            break
        found.append(_chance_lost(hour, limits[work], (at - read.now) / timedelta(days=1)))
    return tuple(found)


def _chance_lost(hour: Hour, limits: Limits, days_ahead: float) -> float:
    """Wind normal about the forecast; rain as often as the forecast says; what is missing is not called fine."""
    sd = WIND_SD_KN + WIND_SD_KN_A_DAY * max(0.0, days_ahead)
    fair = 1.0
    if limits.wind_kn is not None and hour.wind_kn is not None:
        fair = min(fair, NormalDist(hour.wind_kn, sd).cdf(limits.wind_kn))
    gust = hour.gust_kn if hour.gust_kn is not None or hour.wind_kn is None else GUST_FACTOR * hour.wind_kn
    if limits.gust_kn is not None and gust is not None:
        fair = min(fair, NormalDist(gust, GUST_FACTOR * sd).cdf(limits.gust_kn))
    if limits.dry:
        fair *= 1 - (0.5 if hour.pop is None else hour.pop / 100)
    if limits.thunder_before_h is not None and hour.thunder:
        fair = 0.0
    return 1 - fair if math.isfinite(fair) else 1.0


def _rests_on(ground: PromiseGround) -> str:
    hours = ground.hours
    known = _("the climate alone: there is no forecast")
    if hours:
        until = f"{hours[-1].start + HOUR:%Y-%m-%d %H:%M}"
        known = _("the forecast up to {until} UTC, then the climate").format(until=until)
    if not ground.by_sheet:
        return known
    return _("{known}; warmth and damp, as data sheets ask of the air, are not in it").format(known=known)
