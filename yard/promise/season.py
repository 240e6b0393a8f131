"""What the promise reads: a planned season as plain values, with what may go otherwise than planned.

Time.  An axis of days with one number of quarters (15 minutes) each; a position is `day * quarters_per_day +
quarter`.  Words are integers with a bit for each quarter of one day.  Minutes are clock minutes since any one moment.
Nothing here knows a row, a planner or a tide: whoever makes a PlannedSeason has worked the water out into words.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

QUARTER_MIN = 15
MAX_QUARTERS_PER_DAY = 62
MAX_PEOPLE = 62  # a bit each in one word

Pausing = Literal["fitted", "paused", "elapsed"]
FloatArray = NDArray[np.float64]


class SeasonInvalid(ValueError):
    """A planned season that contradicts itself; the text names each wrong fact."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """The days on which anybody may work.

    day_starts: clock minute of each day's first quarter, rising.  calendar_days: a number for each day, consecutive
    for consecutive calendar days (a Sunday has weather too).  months: 1 to 12, for each day.  midday_quarter: where
    each day's afternoon begins.  open_words: the yard's own hours.
    """

    quarters_per_day: int
    day_starts: tuple[int, ...]
    calendar_days: tuple[int, ...]
    months: tuple[int, ...]
    midday_quarter: tuple[int, ...]
    open_words: tuple[int, ...]
    weeks: tuple[int, ...]

    def __post_init__(self) -> None:
        _demand(_axis_faults(self))

    @property
    def days(self) -> int:
        return len(self.day_starts)

    @property
    def size(self) -> int:
        return len(self.day_starts) * self.quarters_per_day


@dataclass(frozen=True, slots=True, kw_only=True)
class Worker:
    """Somebody who works.  work_words: at work, a word a day.  slid_words: the same when the day slides for a tide
    (equal to work_words where it does not), at most slides_per_week days a week."""

    name: str
    skills: frozenset[tuple[str, int]]
    work_words: tuple[int, ...]
    slid_words: tuple[int, ...]
    slides_per_week: int = 0

    def has(self, skill: str, level: int) -> bool:
        return any(name == skill and known >= level for name, known in self.skills)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place with equal units.  open_words: a word a day; empty where it never shuts."""

    name: str
    capacity: int
    open_words: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """`count` people with this skill at this level or better."""

    skill: str
    count: int = 1
    level: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotNeed:
    """`units` units of one spot of `any_of`; `planned`: the spot that the plan gave."""

    any_of: tuple[int, ...]
    planned: int
    units: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonJob:
    """A job as planned.

    planned: the position at which the plan starts it.  booked: quarters that the plan books.  median_quarters: half
    the jobs of this kind take less.  kind: jobs of one kind share how far they are from their estimate.
    weather: index of PlannedSeason.weather, or -1 in any weather.  domain: index of PlannedSeason.domains, the
    quarters in which it may start for water, light and closed times.  not_before: first position.
    may_start_early: on its planned day; a pinned job keeps its time.  in_water: it waits for a tide.
    facts: indices of PlannedSeason.facts that must be here.  people, units: what the plan named; units as
    (spot, unit).  boat: she is in one place, -1 where she is not needed.
    running: it began before now.
    """

    name: str
    kind: str
    planned: int
    booked: int
    median_quarters: float
    pausing: Pausing = "fitted"
    weather: int = -1
    domain: int = -1
    not_before: int = 0
    may_start_early: bool = True
    in_water: bool = False
    slides: bool = False
    facts: tuple[int, ...] = ()
    needs: tuple[Need, ...] = ()
    spots: tuple[SpotNeed, ...] = ()
    people: tuple[int, ...] = ()
    units: tuple[tuple[int, int], ...] = ()
    boat: int = -1
    running: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """Job `after` starts at least min_wait clock minutes after job `before` ends (negative: may overlap)."""

    before: int
    after: int
    min_wait: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Lying:
    """A unit of a spot taken from the start of one job (None: from the beginning) until another starts (None: for
    good).  planned: the (spot, unit) that the plan gave."""

    any_of: tuple[int, ...]
    planned: tuple[int, int]
    from_job: int | None
    until_job: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """A fact that is not here yet: it is planned for this clock minute, and may come later.

    late_chance: how often such a fact is late; late_days: by how many calendar days then, on average.
    """

    name: str
    minute: int
    late_chance: float
    late_days: float

    def __post_init__(self) -> None:
        if not 0.0 <= self.late_chance <= 1.0 or self.late_days < 0:
            raise SeasonInvalid(f"'{self.name}' is late with chance {self.late_chance} by {self.late_days} days")


@dataclass(frozen=True, slots=True, kw_only=True)
class HalfDays:
    """Chances that a half day is lost to one class of work: by month, then morning and afternoon, then after a half
    day that was workable and after one that was lost; shape (12, 2, 2).

    group: classes of one group are lost together (latent correlation 0.9); classes of two groups independently.
    forecast: chance that each quarter from `now` on is lost, for as long as the forecast goes; shape (quarters,).
    """

    name: str
    group: int
    lost: tuple[tuple[tuple[float, float], tuple[float, float]], ...]
    forecast: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        chances = [p for month in self.lost for half in month for p in half]
        if len(self.lost) != 12 or any(not 0.0 <= p <= 1.0 for p in (*chances, *self.forecast)):
            raise SeasonInvalid(f"weather '{self.name}': twelve months of chances from 0 to 1")


@dataclass(frozen=True, slots=True, kw_only=True)
class Milestone:
    """A day that an owner asks about: of which job, and whether its start counts (a launch) or its end (a fitting).

    promised_day: last axis day on time, None where nothing was promised.
    """

    key: str
    name: str
    job: int
    at_start: bool
    promised_day: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedSeason:
    """All of it. Checked at birth: SeasonInvalid names each wrong fact."""

    axis: Axis
    now: int
    people: tuple[Worker, ...]
    spots: tuple[Spot, ...]
    boats: int
    jobs: tuple[SeasonJob, ...]
    waits: tuple[Wait, ...] = ()
    lying: tuple[Lying, ...] = ()
    domains: tuple[tuple[int, ...], ...] = ()
    weather: tuple[HalfDays, ...] = ()
    facts: tuple[Expected, ...] = ()
    milestones: tuple[Milestone, ...] = ()
    notes: tuple[str, ...] = field(default=())

    def __post_init__(self) -> None:
        _demand(_season_faults(self))

    @property
    def kinds(self) -> tuple[str, ...]:
        """Every kind of job, in alphabetical order."""
        return tuple(sorted({job.kind for job in self.jobs}))


def _demand(faults: Iterator[str]) -> None:
    found = tuple(faults)
    if found:
        raise SeasonInvalid("; ".join(found[:10]))


def _axis_faults(axis: Axis) -> Iterator[str]:
    if not 1 <= axis.quarters_per_day <= MAX_QUARTERS_PER_DAY:
        yield f"{axis.quarters_per_day} quarters a day; 1 to {MAX_QUARTERS_PER_DAY} are possible"
    if not axis.day_starts:
        yield "the axis has no day"
    for name in ("calendar_days", "months", "midday_quarter", "open_words", "weeks"):
        if len(getattr(axis, name)) != len(axis.day_starts):
            yield f"the axis has {len(axis.day_starts)} days and {len(getattr(axis, name))} {name}"
    for values in (axis.day_starts, axis.calendar_days):
        if any(a >= b for a, b in pairwise(values)):
            yield "the days of the axis do not rise"


def _season_faults(season: PlannedSeason) -> Iterator[str]:
    size, days = season.axis.size, season.axis.days
    if not 0 <= season.now < size:
        yield f"now is position {season.now} of {size}"
    if len(season.people) > MAX_PEOPLE:
        yield f"{len(season.people)} people; the promise takes at most {MAX_PEOPLE}"
    for row in season.people:
        if len(row.work_words) != days or len(row.slid_words) != days:
            yield f"{row.name} has hours for {len(row.work_words)} days of {days}"
    for number, words in enumerate(season.domains):
        if len(words) != days:
            yield f"domain {number} has {len(words)} days of {days}"
    for job in season.jobs:
        yield from _job_faults(season, job)
    jobs = range(len(season.jobs))
    for wait in season.waits:
        if wait.before not in jobs or wait.after not in jobs or wait.before == wait.after:
            yield f"a wait names jobs {wait.before} and {wait.after}; both must be in the season, and two"
    for stay in season.lying:
        ends = [job for job in (stay.from_job, stay.until_job) if job is not None]
        if stay.planned[0] not in stay.any_of or any(job not in jobs for job in ends):
            yield f"a stay in spots {stay.any_of} names a job or a unit that is not in the season"
    for mark in season.milestones:
        if mark.job not in jobs:
            yield f"'{mark.key}' names job {mark.job}, which is not in the season"


def _job_faults(season: PlannedSeason, job: SeasonJob) -> Iterator[str]:
    where = f"job '{job.name}'"
    if not 0 <= job.planned < season.axis.size:
        yield f"{where} is planned at {job.planned}, outside the axis"
    if job.booked < 1 or not job.median_quarters > 0:
        yield f"{where} takes {job.booked} quarters, in the middle {job.median_quarters}"
    if not -1 <= job.domain < len(season.domains) or not -1 <= job.weather < len(season.weather):
        yield f"{where} names a domain or weather that is not in the season"
    if not -1 <= job.boat < season.boats:
        yield f"{where} names boat {job.boat} of {season.boats}"
    if len(job.people) != sum(need.count for need in job.needs) and job.people:
        yield f"{where} needs {sum(need.count for need in job.needs)} people and names {len(job.people)}"
    if any(not 0 <= person < len(season.people) for person in job.people):
        yield f"{where} names a person who is not in the season"
    if any(not 0 <= fact < len(season.facts) for fact in job.facts):
        yield f"{where} names a fact that is not in the season"
    yield from _spot_faults(season.spots, job, where)


def _spot_faults(spots: Sequence[Spot], job: SeasonJob, where: str) -> Iterator[str]:
    for need in job.spots:
        if need.planned not in need.any_of or any(not 0 <= spot < len(spots) for spot in need.any_of):
            yield f"{where} names a spot that is not in the season, or that it may not use"
    for spot, unit in job.units:
        if not (0 <= spot < len(spots) and 0 <= unit < spots[spot].capacity):
            yield f"{where} names unit {unit} of spot {spot}"
