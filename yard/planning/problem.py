"""The season as plain values: everything that a planner must know, and nothing that it need not.

Time. A `Calendar` has days (only those on which anybody may work) of one fixed number of quarters; a quarter is
15 minutes.  An *axis position* is `day * quarters_per_day + quarter`, an integer; a *minute* is a clock minute
(UTC) since `Calendar.epoch`.  Windows, waits and limits are clock minutes, plans are axis positions; `timeline`
alone turns one into the other.  Every interval is half-open.

Units of cost. Days late and days of flow are working days, that is, differences of axis days.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import msgspec

from yard.planning import facts

QUARTER_MIN = 15
MAX_QUARTERS_PER_DAY = 62  # one signed 64-bit word a day, and two bits to spare for carries

Minutes = tuple[int, int]
"""A half-open clock interval [starts, ends) in minutes since the epoch."""

Pausing = Literal["fitted", "paused", "elapsed"]
"""How a job takes its time.

fitted   within one unbroken stretch of one day
paused   bench work: counts only the quarters inside its people's normal hours (all quarters of the axis where
         nobody is named), and pauses outside them; in between its people do nothing else
elapsed  runs on the clock, through nights and closed days: drying
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Calendar:
    """The days on which anybody may work.

    epoch: ISO 8601 instant in UTC from which all minutes count.
    quarters_per_day: 1 to 62.
    day_starts: clock minute of the first quarter of each day, rising; a day is one contiguous stretch.
    day_names: an ISO date for each day (empty where the calendar is abstract).
    weeks: a number for each day; days of one week share it (slides are counted by week).
    opens_quarter, closes_quarter: the yard's own hours, [opens, closes) of each day, in which working time passes
    (allowances are counted in it); closes_quarter None is the end of the day.
    """

    epoch: str
    quarters_per_day: int
    day_starts: tuple[int, ...]
    day_names: tuple[str, ...] = ()
    weeks: tuple[int, ...] = ()
    opens_quarter: int = 0
    closes_quarter: int | None = None

    def __post_init__(self) -> None:
        facts.check_calendar(self)

    @property
    def days(self) -> int:
        return len(self.day_starts)

    @property
    def size(self) -> int:
        """The number of axis positions."""
        return len(self.day_starts) * self.quarters_per_day


@dataclass(frozen=True, slots=True, kw_only=True)
class Slide:
    """How far a person's day may slide for a tide: minutes before and after normal hours, and how often a week.

    A day on which anything is booked outside normal hours is a slid day.  On every day the span from the first to
    the last booked quarter is at most that of the day's normal hours (or `span_min` on a day without any).
    """

    early_min: int
    late_min: int
    days_per_week: int
    span_min: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody who works.

    skills: level by skill (1 is enough unless a job asks for more).
    hours: normal hours as clock intervals, breaks left out, sorted and disjoint.
    away: leave and appointments inside them.
    """

    key: str
    name: str
    skills: dict[str, int]
    hours: tuple[Minutes, ...]
    away: tuple[Minutes, ...] = ()
    slide: Slide | None = None

    def __post_init__(self) -> None:
        facts.check_person(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Charge:
    """What one charge or tank gives: in the clock interval [starts, ends) at most `quarters` quarters of running."""

    starts: int
    ends: int
    quarters: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Somewhere that holds work or boats: `capacity` equal units, shut during `closed`.

    charges: of a workboat that runs only so long between two charges or fills: sorted and disjoint, each inside one
    day of the calendar.  A job there lies inside one of them, and takes of it as many quarters as it is long, for each
    unit.  Empty: it runs as long as it is open.
    """

    key: str
    name: str
    capacity: int
    closed: tuple[Minutes, ...] = ()
    charges: tuple[Charge, ...] = ()

    def __post_init__(self) -> None:
        facts.check_place(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowSet:
    """A named set of clock intervals, sorted and disjoint: her water, working light, dry days."""

    key: str
    rule: str
    intervals: tuple[Minutes, ...]

    def __post_init__(self) -> None:
        facts.check_window_set(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Crew:
    """`count` people with this skill at this level or better, each counted for one need of the job only."""

    skill: str
    count: int = 1
    level: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceNeed:
    """`units` units of one place out of `any_of` (indices of places), held through the job."""

    any_of: tuple[int, ...]
    units: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Inside:
    """A stretch of the job must lie inside one interval of a window set.

    window_set: index.  offset_quarters, length_quarters: the stretch, counted from the job's start;
    `length_quarters` None means up to the job's end.
    """

    window_set: int
    offset_quarters: int = 0
    length_quarters: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way of doing a job.

    duration_quarters: working quarters (for an elapsed job: clock quarters).
    place_extra_quarters: how much longer its places stay taken, at most to the end of that day (the weather
    allowance's share).  slides: its people may slide their day for it.
    """

    duration_quarters: int
    crew: tuple[Crew, ...] = ()
    places: tuple[PlaceNeed, ...] = ()
    inside: tuple[Inside, ...] = ()
    place_extra_quarters: int = 0
    slides: bool = False
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A piece of work for one boat (or for a walk-in, which is planned like a boat).

    boat, order: indices.  not_before, not_after: earliest and latest clock minute of its start.
    allowance_quarters: working quarters that whatever follows waits after its end, for the weather.
    needs_boat: she is in one place, so two such jobs of one boat never overlap.
    not_alone: at least two people in every way of doing it.
    waits_on: what it is planned in spite of ("permit by 4 May"): its plan is provisional.
    """

    key: str
    name: str
    boat: int
    order: int
    ways: tuple[Way, ...]
    pausing: Pausing = "fitted"
    not_before: int | None = None
    not_after: int | None = None
    allowance_quarters: int = 0
    needs_boat: bool = False
    not_alone: bool = False
    waits_on: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        facts.check_job(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """Job `after` starts at least `min_wait` and at most `max_wait` clock minutes after job `before` ends.

    Indices of jobs, of one boat or of two (a store row is a stack).  min_wait None: no minimum at all (only a
    maximum); a negative minimum allows overlap.  The allowance of `before`, in working time, comes first:
    the earliest start is min_wait after (end of `before` + allowance).  The maximum counts from the bare end.
    """

    before: int
    after: int
    min_wait: int | None = 0
    max_wait: int | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """A place held by night: from the day `from_job` ends to the day `until_job` starts.

    Night d lies between axis day d and d + 1.  from_job None: she lies there when the season starts (night 0 on).
    until_job None: to the end of the calendar.  One unit of one place of `any_of` for the whole stay.
    """

    boat: int
    any_of: tuple[int, ...]
    from_job: int | None = None
    until_job: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What an owner asked for: the unit of lateness and of flow.

    due_day: last axis day on time (may be negative, or beyond the calendar).  goes_first: how much a day late counts.
    began_day: the axis day of its first finished job, if work has begun (flow counts from it).
    """

    key: str
    name: str
    due_day: int
    goes_first: int = 1
    began_day: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Boat:
    key: str
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """A job that stays as it is: started, or pinned by a person. Positions on the axis; `ends_at` exclusive.

    places: (place, unit) for each place need in order.
    """

    job: int
    way: int
    starts_at: int
    ends_at: int
    people: tuple[int, ...] = ()
    places: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiver:
    """A person's leave to break one rule for one job, with the reason; see check.WAIVABLE for what may be waived."""

    rule: str
    job: int
    reason: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CostRates:
    """What a working day late (times goes_first) and a working day of flow cost."""

    late_day: int = 100
    flow_day: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """A whole season. Checked at birth: `ProblemInvalid` names each wrong fact and where it stands."""

    calendar: Calendar
    people: tuple[Person, ...]
    places: tuple[Place, ...]
    window_sets: tuple[WindowSet, ...]
    boats: tuple[Boat, ...]
    orders: tuple[Order, ...]
    jobs: tuple[Job, ...]
    links: tuple[Link, ...] = ()
    stays: tuple[Stay, ...] = ()
    pins: tuple[Pin, ...] = ()
    waivers: tuple[Waiver, ...] = ()
    now: int = 0
    """Axis position before which nothing new may start."""
    forecast_until: int = 0
    """Clock minute up to which a forecast has judged the hours: what ends by then is followed without an allowance."""
    rates: CostRates = field(default_factory=CostRates)

    def __post_init__(self) -> None:
        facts.check_problem(self)


ProblemInvalid = facts.ProblemInvalid

_decoder = msgspec.json.Decoder(Problem)
_encoder = msgspec.json.Encoder()


def read_problem_json(data: bytes | str) -> Problem:
    """Raises ProblemInvalid with the path of the wrong value."""
    try:
        return _decoder.decode(data)
    except (msgspec.DecodeError, RecursionError) as error:  # the second from brackets nested past all reason
        raise ProblemInvalid((str(error),)) from error


def write_problem_json(problem: Problem) -> bytes:
    return _encoder.encode(problem)


def problem_schema() -> dict[str, object]:
    """The JSON Schema of a Problem, derived from the classes above."""
    return msgspec.json.schema(Problem)
