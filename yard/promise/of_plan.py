"""A PlannedSeason of the planner's Problem and Plan. The only module of the promise that knows them.

What the planner's values do not say, whoever calls adds (`About`): the kind of each job, its median hours, which
weather stops it, and what is known of facts that are still expected.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from yard.planning.plan import Placement, Plan
from yard.planning.problem import QUARTER_MIN, Job, Minutes, Person, Problem, Way
from yard.planning.timeline import Timeline
from yard.promise.domains import Domains, words_of
from yard.promise.season import (
    Axis,
    Expected,
    HalfDays,
    Lying,
    Milestone,
    Need,
    PlannedSeason,
    SeasonJob,
    Spot,
    SpotNeed,
    Wait,
    Worker,
)

LATE_CHANCE, LATE_DAYS = 0.3, 5.0  # cloth, permits and contractors: common practice, no source was found


@dataclass(frozen=True, slots=True, kw_only=True)
class JobAbout:
    """Of one job. kind: jobs of one kind share how far they are from their estimate.  median_quarters: as estimated,
    before the plan's booking factor.  weather: index of About.weather, -1 for any weather.  facts: indices of
    About.facts."""

    kind: str
    median_quarters: float
    weather: int = -1
    facts: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """What the Problem does not say.

    jobs: by the job's key.  weather_rules: window sets of these rules are weather, which is simulated instead.
    midday_min: where each day's afternoon begins, minutes after its first quarter.
    """

    jobs: Mapping[str, JobAbout]
    weather: tuple[HalfDays, ...] = ()
    facts: tuple[Expected, ...] = ()
    milestones: Sequence[Milestone] = ()
    weather_rules: frozenset[str] = frozenset({"weather", "forecast"})
    midday_min: Sequence[int] = field(default_factory=tuple)


@dataclass(frozen=True, slots=True)
class Read:
    """season: what the promise reads.  jobs: the Problem's index of each of its jobs."""

    season: PlannedSeason
    jobs: tuple[int, ...]


def planned_season(problem: Problem, plan: Plan, about: About) -> Read:
    """The plan as a season to simulate. A job that the plan does not place is left away, with what waits for it only.

    A job whose planned hour has passed without its having begun is dispatched from now on.
    about.milestones name jobs by the Problem's index; those of a job that is not placed are left away.
    """
    placed = sorted(plan.placements, key=lambda placement: placement.job)
    index = {placement.job: number for number, placement in enumerate(placed)}
    axis = axis_of(problem, about.midday_min)
    domains = Domains(problem, about.weather_rules)
    pinned = {pin.job for pin in problem.pins}
    jobs = tuple(_job(problem, about, domains, placement, placement.job in pinned) for placement in placed)
    season = PlannedSeason(
        axis=axis,
        now=min(problem.now, axis.size - 1),
        people=tuple(_worker(problem, row) for row in problem.people),
        spots=tuple(_spot(problem, row.name, row.capacity, row.closed) for row in problem.places),
        boats=len(problem.boats),
        jobs=jobs,
        waits=tuple(
            Wait(before=index[link.before], after=index[link.after], min_wait=link.min_wait)
            for link in problem.links
            if link.before in index and link.after in index and link.min_wait is not None
        ),
        lying=_lying(problem, plan, index),
        domains=tuple(domains.words),
        weather=about.weather,
        facts=about.facts,
        milestones=tuple(
            Milestone(
                key=mark.key,
                name=mark.name,
                job=index[mark.job],
                at_start=mark.at_start,
                promised_day=mark.promised_day,
            )
            for mark in about.milestones
            if mark.job in index
        ),
    )
    return Read(season, tuple(placement.job for placement in placed))


def axis_of(problem: Problem, midday_min: Sequence[int] = ()) -> Axis:
    """The days of the calendar. Where no midday is given it is the middle of the yard's own hours."""
    calendar = problem.calendar
    per_day = calendar.quarters_per_day
    closes = per_day if calendar.closes_quarter is None else calendar.closes_quarter
    word = ((1 << closes) - 1) & ~((1 << calendar.opens_quarter) - 1)
    midday = midday_min or [(calendar.opens_quarter + closes) // 2 * QUARTER_MIN] * calendar.days
    return Axis(
        quarters_per_day=per_day,
        day_starts=calendar.day_starts,
        calendar_days=tuple(start // 1440 for start in calendar.day_starts),
        months=_months(problem),
        midday_quarter=tuple(max(0, min(per_day, each // QUARTER_MIN)) for each in midday),
        open_words=(word,) * calendar.days,
        weeks=calendar.weeks or (0,) * calendar.days,
    )


def _months(problem: Problem) -> tuple[int, ...]:
    calendar = problem.calendar
    if calendar.day_names:
        return tuple(date.fromisoformat(name).month for name in calendar.day_names)
    timeline = Timeline(calendar)
    return tuple(timeline.instant_of(start).month for start in calendar.day_starts)


def _worker(problem: Problem, row: Person) -> Worker:
    calendar = problem.calendar
    normal = words_of(calendar, row.hours)
    away = words_of(calendar, row.away, touched=True)
    work = tuple(word & ~gone for word, gone in zip(normal, away, strict=True))
    slid = work
    if row.slide is not None:
        early, late = row.slide.early_min // QUARTER_MIN, row.slide.late_min // QUARTER_MIN
        full = (1 << calendar.quarters_per_day) - 1
        slid = tuple(
            _widened(word, early, late, full) & ~gone if word & ~gone else 0
            for word, gone in zip(normal, away, strict=True)
        )
    return Worker(
        name=row.name,
        skills=frozenset(row.skills.items()),
        work_words=work,
        slid_words=slid,
        slides_per_week=0 if row.slide is None else row.slide.days_per_week,
    )


def _widened(word: int, early: int, late: int, full: int) -> int:
    """A day's hours with so many quarters more before the first and after the last."""
    first, last = (word & -word).bit_length() - 1, word.bit_length()
    before = ((1 << first) - 1) & ~((1 << max(0, first - early)) - 1)
    after = ((1 << (last + late)) - 1) & ~((1 << last) - 1)
    return (word | before | after) & full


def _spot(problem: Problem, name: str, capacity: int, closed: tuple[Minutes, ...]) -> Spot:
    if not closed:
        return Spot(name=name, capacity=capacity)
    full = (1 << problem.calendar.quarters_per_day) - 1
    shut = words_of(problem.calendar, closed, touched=True)
    return Spot(name=name, capacity=capacity, open_words=tuple(full & ~word for word in shut))


def _job(problem: Problem, about: About, domains: Domains, placement: Placement, pinned: bool) -> SeasonJob:
    row = problem.jobs[placement.job]
    way = row.ways[placement.way]
    known = about.jobs.get(row.key)
    people = placement.people if len(placement.people) == sum(crew.count for crew in way.crew) else ()
    return SeasonJob(
        name=row.name,
        kind=known.kind if known else row.name,
        planned=placement.starts_at,
        booked=_booked(row, way, placement),
        median_quarters=known.median_quarters if known else float(way.duration_quarters),
        pausing=row.pausing,
        weather=known.weather if known else -1,
        domain=domains.of(row, way),
        not_before=placement.starts_at if pinned else _not_before(problem, row),
        may_start_early=not pinned,
        in_water=any(problem.window_sets[each.window_set].rule == "water" for each in way.inside),
        slides=way.slides,
        facts=known.facts if known else (),
        needs=tuple(Need(skill=crew.skill, count=crew.count, level=crew.level) for crew in way.crew),
        spots=_spot_needs(way, placement),
        people=people,
        units=placement.places,
        boat=row.boat if row.needs_boat else -1,
        running=pinned and placement.starts_at < problem.now,
    )


def _booked(row: Job, way: Way, placement: Placement) -> int:
    """What the plan books; a job pinned to another length keeps that."""
    if row.pausing == "fitted":
        return placement.ends_at - placement.starts_at
    return way.duration_quarters


def _not_before(problem: Problem, row: Job) -> int:
    return 0 if row.not_before is None else Timeline(problem.calendar).first_at_or_after(row.not_before)


def _spot_needs(way: Way, placement: Placement) -> tuple[SpotNeed, ...]:
    found, at = [], 0
    for need in way.places:
        planned = placement.places[at][0] if at < len(placement.places) else need.any_of[0]
        any_of = need.any_of if planned in need.any_of else (*need.any_of, planned)
        found.append(SpotNeed(any_of=any_of, planned=planned, units=need.units))
        at += need.units
    return tuple(found)


def _lying(problem: Problem, plan: Plan, index: Mapping[int, int]) -> tuple[Lying, ...]:
    """Stays that the plan gives a place and whose jobs it places."""
    found = []
    for at in plan.stays:
        stay = problem.stays[at.stay]
        ends = [job for job in (stay.from_job, stay.until_job) if job is not None]
        if all(job in index for job in ends):
            found.append(
                Lying(
                    any_of=stay.any_of if at.place in stay.any_of else (*stay.any_of, at.place),
                    planned=(at.place, at.unit),
                    from_job=None if stay.from_job is None else index[stay.from_job],
                    until_job=None if stay.until_job is None else index[stay.until_job],
                )
            )
    return tuple(found)
