"""The weather allowance: how much later an outdoor job ends because of weather, beyond the forecast.

Weather delays starts, not hours. So the allowance is working time per start, never a factor on the length:
what follows an outdoor job waits it, and the job's place stays taken for (1/share - 1) x length. Inside the
forecast nothing is allowed for, because every new plan would add it again.

The table is simulated from a yard's own chains of half days and, where it has them, the windows in which
water lets a job start. A job is ready at a moment drawn evenly from the working week; its wait is the working
time by which its end moves past the end it would have had without weather. A half day is workable or lost as
a whole. Measured for this project against replanning: with exact durations plans with this allowance were
0.1 days from the median outcome (-0.3 to 0.7, 12 simulated small yards in spring); plans with every length
times 1.6 were 2.4 days later than the median outcome (100 boats, 60 seasons).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from yard.speech import _
from yard.weather.climate import BoolArray, HalfDayChain, Season, WorkClass

IntArray = NDArray[np.int64]

# Medians of lognormal durations (log-sd 0.35) booked bare left plans 1.4 days early, at 1.1 0.3 to 0.4 days,
# at 1.2 0.4 to 0.6 days late; 12 simulated yards, computed for this project. 1.1 is about the 60th
# percentile.
BOOKED_PER_MEDIAN = 1.1

QUARTER_MIN = 15
# An outdoor job longer than this has a break point (frame, then cover): 6 h jobs on 35 of 100 boats cut in
# pieces of 4 h ended the season's 90th percentile 3.4 days earlier; pieces of 3 h gained nothing more
# (computed).
PIECE_MIN = 240
WHOLE_LENGTHS_MIN = (15, 90, 240, 360, 480)
# A quarter past a break point starts one more piece, and the wait jumps there.
PIECED_LENGTHS_MIN = (255, 360, 480, 495, 720, 735, 960)

READY_DAYS = 14
HORIZON_DAYS = 182


class NeverWorkable(ValueError):
    """Weather, hours or water leave no stretch long enough within half a year."""


def booked_min(median_min: float) -> float:
    """The time a plan books for a job whose median is known; minutes."""
    return BOOKED_PER_MEDIAN * median_min


@dataclass(frozen=True, slots=True)
class WorkingHours:
    """The working time of a day, in minutes before and after the midday break, and its weekdays (Monday 0).

    The default, 08-12 and 12-17 from Monday to Saturday, is the day that the half-day chains were made for.
    """

    morning_min: int = 240
    afternoon_min: int = 300
    weekdays: frozenset[int] = frozenset(range(6))

    def __post_init__(self) -> None:
        for name in ("morning_min", "afternoon_min"):
            minutes = getattr(self, name)
            if not 0 <= minutes <= 12 * 60 or minutes % QUARTER_MIN:
                raise ValueError(f"{name} is {minutes}; it is 0 to 720 in quarters of an hour")
        if self.day_min == 0:
            raise ValueError("a working day has some working time")
        if not self.weekdays or not self.weekdays <= frozenset(range(7)):
            raise ValueError("weekdays are some of 0 (Monday) to 6 (Sunday)")

    @property
    def day_min(self) -> int:
        return self.morning_min + self.afternoon_min


@dataclass(frozen=True, slots=True)
class Allowance:
    """What one outdoor job adds beyond the forecast; whole minutes of working time.

    wait_min: what follows the job waits this long after its planned end.
    extra_place_min: its place, and its people's outdoor time, stay taken this long beyond its bare length.
    place_factor: 1 / share of workable hours, from which extra_place_min follows.
    """

    wait_min: int
    extra_place_min: int
    place_factor: float

    def __post_init__(self) -> None:
        if self.wait_min < 0 or self.extra_place_min < 0:
            raise ValueError("an allowance adds time, it takes none away")
        if not (math.isfinite(self.place_factor) and self.place_factor >= 1.0):
            raise ValueError(f"place_factor is {self.place_factor}; it is at least 1")

    @property
    def hours_before_next(self) -> float:
        """Working hours that what follows waits."""
        return self.wait_min / 60


# For jobs inside the forecast, and indoors.
NO_ALLOWANCE = Allowance(wait_min=0, extra_place_min=0, place_factor=1.0)


@dataclass(frozen=True, slots=True)
class Knot:
    """A simulated point: mean wait of a job of this length, and the standard error of that mean; minutes."""

    length_min: int
    wait_min: float
    standard_error_min: float


@dataclass(frozen=True, slots=True)
class ClassAllowance:
    """One class of work in one season: share of workable hours, and waits by length, shortest first.

    pieced holds jobs over PIECE_MIN that may stop at each PIECE_MIN; whole holds jobs that may not.
    """

    hours_ok: float
    whole: tuple[Knot, ...]
    pieced: tuple[Knot, ...]

    def __post_init__(self) -> None:
        if not 0.0 < self.hours_ok <= 1.0:
            raise ValueError(f"the share of workable hours is {self.hours_ok}; it is over 0 and at most 1")
        if not self.whole:
            raise ValueError("an allowance needs at least one simulated length")
        for knots in (self.whole, self.pieced):
            if any(a.length_min >= b.length_min for a, b in pairwise(knots)):
                raise ValueError("lengths stand in order, shortest first")

    @property
    def place_factor(self) -> float:
        return 1.0 / self.hours_ok


@dataclass(frozen=True, slots=True)
class AllowanceTable:
    """The weather allowance of a yard by class of work and season."""

    rows: Mapping[tuple[WorkClass, Season], ClassAllowance]

    def for_job(self, work_class: WorkClass, season: Season, length_min: int, *, whole: bool = False) -> Allowance:
        """The allowance of a job of this bare length, straight between the simulated lengths.

        A job over 4 h stops at its break points unless it is `whole`. Beyond the longest pieced length each
        further piece adds what the last one did. Raises KeyError for a class or season that the table lacks,
        ValueError for a length that is not positive, NeverWorkable for a whole job longer than the table
        goes.
        """
        if length_min <= 0:
            raise ValueError(f"a job has a length over 0 min, not {length_min}")
        row = self.rows[work_class, season]
        if whole or length_min <= PIECE_MIN:
            longest = row.whole[-1].length_min
            if length_min > longest:
                raise NeverWorkable(
                    _(
                        "a job of {length_min} min in one piece is longer than the {longest} min that this yard's "
                        "day, weather or water allows: give it a break point"
                    ).format(length_min=length_min, longest=longest)
                )
            wait = _interpolated(row.whole, length_min)
        else:
            if not row.pieced:
                raise NeverWorkable(
                    _("this yard's day, weather or water never allows {minutes} min in one piece").format(
                        minutes=PIECE_MIN
                    )
                )
            unbroken = tuple(knot for knot in row.whole if knot.length_min == PIECE_MIN)
            wait = _interpolated(unbroken + row.pieced, length_min)
        extra = (row.place_factor - 1.0) * length_min
        return Allowance(round(wait), round(extra), row.place_factor)


def _interpolated(knots: tuple[Knot, ...], length_min: int) -> float:
    lengths = [knot.length_min for knot in knots]
    waits = [knot.wait_min for knot in knots]
    if length_min > lengths[-1] and len(knots) > 1:
        slope = (waits[-1] - waits[-2]) / (lengths[-1] - lengths[-2])
        return waits[-1] + max(slope, 0.0) * (length_min - lengths[-1])
    return float(np.interp(length_min, lengths, waits))


@dataclass(frozen=True, slots=True)
class _Starts:
    """For one length: the first start at or after a quarter of a day, by weather and water of that day.

    first[weather, water_day, quarter]: quarter of the same day, or -1. weather counts 1 for a workable
    morning and 2 for a workable afternoon.
    """

    length: int
    first: IntArray


def _starts(length_min: int, hours: WorkingHours, may_start: BoolArray) -> _Starts:
    morning, day = hours.morning_min // QUARTER_MIN, hours.day_min // QUARTER_MIN
    length = math.ceil(length_min / QUARTER_MIN)
    workable = np.zeros((4, day), dtype=np.bool_)
    workable[1::2, :morning] = True
    workable[2:, morning:] = True
    run = np.zeros((4, day + 1), dtype=np.int64)
    for quarter in range(day - 1, -1, -1):
        run[:, quarter] = np.where(workable[:, quarter], run[:, quarter + 1] + 1, 0)
    fits = (run[:, None, :day] >= length) & may_start[None, :, :]
    never = day + 1
    first = np.full((4, may_start.shape[0], day + 1), never, dtype=np.int64)
    first[:, :, :day] = np.where(fits, np.arange(day), never)
    first = np.minimum.accumulate(first[:, :, ::-1], axis=2)[:, :, ::-1]
    return _Starts(length, np.where(first == never, -1, first))


@dataclass(frozen=True, slots=True)
class _Weeks:
    """Simulated stretches: weather[run, day] as in _Starts; water_day[run, day]; works[day]; ready a run."""

    weather: IntArray
    water_day: IntArray
    works: BoolArray
    working_days_before: IntArray
    ready_day: IntArray
    ready_quarter: IntArray


def _weeks(chain: HalfDayChain, hours: WorkingHours, water_days: int, runs: int, rng: np.random.Generator) -> _Weeks:
    lost = chain.sample_lost(runs, HORIZON_DAYS, rng)
    weather = (~lost[:, :, 0]).astype(np.int64) + 2 * ~lost[:, :, 1]
    works = np.array([day % 7 in hours.weekdays for day in range(HORIZON_DAYS)])
    phase = rng.integers(water_days, size=runs)
    water_day = (phase[:, None] + np.arange(HORIZON_DAYS)[None, :]) % water_days
    candidates = np.flatnonzero(works[:READY_DAYS])
    return _Weeks(
        weather=weather,
        water_day=water_day,
        works=works,
        working_days_before=np.cumsum(works) - works,
        ready_day=rng.choice(candidates, size=runs),
        ready_quarter=rng.integers(hours.day_min // QUARTER_MIN, size=runs),
    )


def _first_start(
    starts: _Starts, weeks: _Weeks, weather: IntArray, from_day: IntArray, from_quarter: IntArray
) -> tuple[IntArray, IntArray]:
    """Day and quarter of the first start at or after the given moments; shape (runs,)."""
    day, quarter = from_day.copy(), from_quarter.copy()
    waiting = np.arange(day.size)
    while waiting.size:
        if day[waiting].max() >= HORIZON_DAYS:
            minutes = starts.length * QUARTER_MIN
            raise NeverWorkable(
                _("no stretch of {minutes} min within {horizon_days} days of weather").format(
                    minutes=minutes, horizon_days=HORIZON_DAYS
                )
            )
        at = day[waiting]
        found = starts.first[weather[waiting, at], weeks.water_day[waiting, at], quarter[waiting]]
        found = np.where(weeks.works[at], found, -1)
        placed = found >= 0
        quarter[waiting[placed]] = found[placed]
        waiting = waiting[~placed]
        day[waiting] += 1
        quarter[waiting] = 0
    return day, quarter


def _ends(pieces: list[_Starts], weeks: _Weeks, weather: IntArray, day_quarters: int) -> IntArray:
    """Working quarters from the first day to the end of the last piece; shape (runs,)."""
    day, quarter = weeks.ready_day, weeks.ready_quarter
    for piece in pieces:
        day, quarter = _first_start(piece, weeks, weather, day, quarter)
        quarter = quarter + piece.length
    return weeks.working_days_before[day] * day_quarters + quarter


def piece_lengths_min(length_min: int) -> list[int]:
    """A job cut at its break points: pieces of PIECE_MIN and the rest last; 360 gives 240 and 120."""
    pieces = [PIECE_MIN] * (length_min // PIECE_MIN)
    rest = length_min % PIECE_MIN
    return [*pieces, rest] if rest else pieces


def _simulated(
    length_min: int, pieces_min: list[int], weeks: _Weeks, hours: WorkingHours, may_start: BoolArray
) -> Knot:
    pieces = [_starts(piece, hours, may_start) for piece in pieces_min]
    day_quarters = hours.day_min // QUARTER_MIN
    fair = np.broadcast_to(np.int64(3), weeks.weather.shape)
    late = _ends(pieces, weeks, weeks.weather, day_quarters) - _ends(pieces, weeks, fair, day_quarters)
    wait_min = late * QUARTER_MIN
    error = float(wait_min.std(ddof=1)) / math.sqrt(wait_min.size)
    return Knot(length_min, float(wait_min.mean()), error)


def _rising(knots: Iterable[Knot], *, at_least_min: float = 0.0) -> tuple[Knot, ...]:
    """A longer job never waits less.

    Raw waits can fall where the fair end jumps to the next day, and by noise.
    """
    risen: list[Knot] = []
    for knot in knots:
        floor = risen[-1].wait_min if risen else at_least_min
        risen.append(Knot(knot.length_min, max(knot.wait_min, floor), knot.standard_error_min))
    return tuple(risen)


def _class_allowance(
    chain: HalfDayChain, hours: WorkingHours, may_start: BoolArray, runs: int, rng: np.random.Generator
) -> ClassAllowance:
    weeks = _weeks(chain, hours, may_start.shape[0], runs, rng)
    whole = _knots({length: [length] for length in _whole_lengths_min(hours)}, weeks, hours, may_start)
    if not whole:
        raise NeverWorkable(_("no start is open for work under the rule '{rule}'").format(rule=chain.rule))
    cut = {length: piece_lengths_min(length) for length in PIECED_LENGTHS_MIN}
    pieced = _knots(cut, weeks, hours, may_start)
    risen = _rising(whole)
    unbroken_min = max((knot.wait_min for knot in risen if knot.length_min <= PIECE_MIN), default=0.0)
    return ClassAllowance(chain.hours_ok, risen, _rising(pieced, at_least_min=unbroken_min))


def _knots(pieces_min: Mapping[int, list[int]], weeks: _Weeks, hours: WorkingHours, may_start: BoolArray) -> list[Knot]:
    """Simulate lengths, shortest first, up to the first that some run never finds room for."""
    knots: list[Knot] = []
    for length_min, pieces in pieces_min.items():
        try:
            knots.append(_simulated(length_min, pieces, weeks, hours, may_start))
        except NeverWorkable:
            break
    return knots


def _whole_lengths_min(hours: WorkingHours) -> list[int]:
    """The table's lengths, and those round each half day: a quarter longer fits it no more: waits jump."""
    halves = (hours.morning_min, hours.afternoon_min)
    edges = {edge for half in halves for edge in (half, half + QUARTER_MIN)}
    lengths = {*WHOLE_LENGTHS_MIN, *edges, hours.day_min}
    return sorted(length for length in lengths if 0 < length <= hours.day_min)


def allowance_table(
    chains: Mapping[tuple[WorkClass, Season], HalfDayChain],
    working_hours: WorkingHours,
    seed: int,
    runs: int,
    *,
    may_start: Mapping[WorkClass, BoolArray] = MappingProxyType({}),
) -> AllowanceTable:
    """Simulate the weather allowance of every chain.

    may_start: for classes that need water, True where a job may start; shape (days, working quarters of a
        day), consecutive calendar days, Sundays too; the days repeat. Without an entry every quarter is open.
    runs: simulated starts for each chain, at least 100. One seed gives one table, whatever else it holds.
    Raises NeverWorkable where not even the shortest job can ever start, ValueError for a wrong shape.
    """
    if runs < 100:
        raise ValueError(f"a mean wait needs at least 100 runs, not {runs}")
    day_quarters = working_hours.day_min // QUARTER_MIN
    rows = {}
    for (work_class, season), chain in chains.items():
        if work_class in may_start:
            open_starts = np.asarray(may_start[work_class], dtype=np.bool_)
        else:
            open_starts = np.ones((1, day_quarters), dtype=np.bool_)
        if open_starts.ndim != 2 or open_starts.shape[0] < 1 or open_starts.shape[1] != day_quarters:
            raise ValueError(
                f"may_start of {work_class.name} has shape {open_starts.shape}, not (days, {day_quarters})"
            )
        key = [seed, list(WorkClass).index(work_class), list(Season).index(season)]
        rng = np.random.default_rng(key)
        rows[work_class, season] = _class_allowance(chain, working_hours, open_starts, runs, rng)
    return AllowanceTable(MappingProxyType(rows))
