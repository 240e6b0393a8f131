"""What a plan asks for beside what there is, week by week: hours by skill, places, berths by night, tides.

All of it is counted from the Problem's `now` on, on the axis of days on which anybody may work.  Hours of a skill are
those that the plan books for it; hours there are those of everybody who has it, so that somebody with two skills
stands in both rows: two rows that are not full may not both be filled.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from yard.planning.plan import Placement, Plan
from yard.planning.problem import QUARTER_MIN, Minutes, Problem, Way
from yard.planning.timeline import Timeline

RAMP = "water-ramp"  # how the keys of the ramp's water begin
Unit = Literal["minutes", "nights", "tides"]


@dataclass(frozen=True, slots=True)
class Week:
    """week: of the calendar.  first_day: its first axis day.  used, usable: in the row's unit."""

    week: int
    first_day: int
    used: int
    usable: int


@dataclass(frozen=True, slots=True)
class Row:
    """key: of the skill or the place.  weeks: every week of the axis from now on, in order."""

    key: str
    unit: Unit
    weeks: tuple[Week, ...]

    @property
    def used(self) -> int:
        return sum(week.used for week in self.weeks)


@dataclass(frozen=True, slots=True)
class Capacity:
    """skills by key; everybody: all of the people; places that work is done at; berths by night; tides at the ramp.

    tides: for the boat that needs the least water.  deepest: for the boat that needs the most, and how many of the
    tides that she could use are planned for anybody.  A tide may take several boats one after the other.
    """

    skills: tuple[Row, ...]
    everybody: Row
    places: tuple[Row, ...]
    berths: tuple[Row, ...]
    tides: Row
    deepest: Row


def capacity(problem: Problem, plan: Plan) -> Capacity:
    return _Counting(problem, plan).all()


class _Counting:
    def __init__(self, problem: Problem, plan: Plan) -> None:
        self.problem, self.plan = problem, plan
        self.per_day = problem.calendar.quarters_per_day
        self.timeline = Timeline(problem.calendar)
        self.weeks = problem.calendar.weeks or tuple(day // 5 for day in range(problem.calendar.days))
        self.first: dict[int, int] = {}
        for day, week in enumerate(self.weeks):
            if (day + 1) * self.per_day > problem.now:
                self.first.setdefault(week, day)
        self.ramp = any(windows.key.startswith(RAMP) for windows in problem.window_sets)
        self.drying = {
            place
            for job in problem.jobs
            if job.pausing == "elapsed"
            for way in job.ways
            for need in way.places
            for place in need.any_of
        }
        self.there = [self._inside(person.hours) - self._inside(person.away) for person in problem.people]

    def all(self) -> Capacity:
        everybody = self._row("", "minutes", self._booked(None), self._hours(range(len(self.there))))
        tides, deepest = self._tides()
        return Capacity(self._skills(), everybody, self._places(), self._berths(), tides, deepest)

    def _row(self, key: str, unit: Unit, used: dict[int, int], usable: dict[int, int]) -> Row:
        weeks = (Week(week, day, used.get(week, 0), usable.get(week, 0)) for week, day in self.first.items())
        return Row(key, unit, tuple(weeks))

    def _inside(self, spans: Iterable[Minutes]) -> set[int]:
        """The quarters from now on that lie wholly inside."""
        found: set[int] = set()
        for starts, ends in spans:
            last = self.timeline.last_at_or_before(ends - QUARTER_MIN)
            found.update(range(max(self.problem.now, self.timeline.first_at_or_after(starts)), last + 1))
        return found

    def _by_week(self, positions: Iterable[int], each: int = QUARTER_MIN) -> dict[int, int]:
        found: dict[int, int] = defaultdict(int)
        for position in positions:
            if position >= self.problem.now:
                found[self.weeks[position // self.per_day]] += each
        return found

    # people -----------------------------------------------------------------------------------------------------------
    def _skills(self) -> tuple[Row, ...]:
        asked = {need.skill for job in self.problem.jobs for way in job.ways for need in way.crew}
        rows = []
        for skill in sorted(asked):
            has = {n for n, person in enumerate(self.problem.people) if person.skills.get(skill)}
            rows.append(self._row(skill, "minutes", self._booked(skill), self._hours(has)))
        return tuple(rows)

    def _hours(self, people: Iterable[int]) -> dict[int, int]:
        found: dict[int, int] = defaultdict(int)
        for person in people:
            for week, minutes in self._by_week(self.there[person]).items():
                found[week] += minutes
        return found

    def _booked(self, skill: str | None) -> dict[int, int]:
        """Minutes that the plan books for a skill, of everybody it names; None: for all."""
        found: dict[int, int] = defaultdict(int)
        for row in self.plan.placements:
            job = self.problem.jobs[row.job]
            needs = [need.skill for need in job.ways[row.way].crew for _ in range(need.count)]
            for person, named in zip(row.people, needs, strict=False):
                if skill is None or named == skill:
                    span: Iterable[int] = range(row.starts_at, row.ends_at)
                    worked = self.there[person].intersection(span) if job.pausing == "paused" else span
                    for week, minutes in self._by_week(worked).items():
                        found[week] += minutes
        return found

    # places -----------------------------------------------------------------------------------------------------------
    def _places(self) -> tuple[Row, ...]:
        """Places that jobs use: unit quarters taken of unit quarters open."""
        asked = {p for job in self.problem.jobs for way in job.ways for need in way.places for p in need.any_of}
        taken: dict[int, list[int]] = {place: [] for place in asked}
        for row in self.plan.placements:
            keep = row.ends_at + self.problem.jobs[row.job].ways[row.way].place_extra_quarters
            for place, _unit in row.places:
                taken.setdefault(place, []).extend(range(row.starts_at, min(keep, self._day_end(row))))
        found = []
        for place in sorted(asked):
            facts = self.problem.places[place]
            shut = self._touched(facts.closed)
            usable = (
                p
                for p in range(self.problem.now, self.problem.calendar.size)
                if p not in shut and self._counts(p, place)
            )
            each = QUARTER_MIN * facts.capacity
            found.append(self._row(facts.key, "minutes", self._by_week(taken[place]), self._by_week(usable, each)))
        return tuple(found)

    def _counts(self, position: int, place: int) -> bool:
        """Drying goes on at all hours; any other place counts the hours of the yard, and what is used beyond them."""
        calendar, quarter = self.problem.calendar, position % self.per_day
        return place in self.drying or calendar.opens_quarter <= quarter < (calendar.closes_quarter or self.per_day)

    def _day_end(self, row: Placement) -> int:
        return ((row.ends_at - 1) // self.per_day + 1) * self.per_day

    def _touched(self, spans: Iterable[Minutes]) -> set[int]:
        found: set[int] = set()
        for starts, ends in spans:
            last = self.timeline.last_at_or_before(ends - 1)
            found.update(range(max(0, self.timeline.first_at_or_after(starts - QUARTER_MIN + 1)), last + 1))
        return found

    # nights -----------------------------------------------------------------------------------------------------------
    def _berths(self) -> tuple[Row, ...]:
        """Places that boats lie at by night: nights taken of nights there are, each working day's night once."""
        asked = sorted({place for stay in self.problem.stays for place in stay.any_of})
        placed = self.plan.by_job()
        used: dict[int, dict[int, int]] = {place: defaultdict(int) for place in asked}
        for at in self.plan.stays:
            stay = self.problem.stays[at.stay]
            if any(job is not None and job not in placed for job in (stay.from_job, stay.until_job)):
                continue
            first = 0 if stay.from_job is None else (placed[stay.from_job].ends_at - 1) // self.per_day
            until = self.problem.calendar.days
            if stay.until_job is not None:
                until = placed[stay.until_job].starts_at // self.per_day
            for night in range(max(first, self.problem.now // self.per_day), until):
                used.setdefault(at.place, defaultdict(int))[self.weeks[night]] += 1
        nights: dict[int, int] = defaultdict(int)
        for day in range(self.problem.now // self.per_day, self.problem.calendar.days):
            nights[self.weeks[day]] += 1
        found = []
        for place in asked:
            facts = self.problem.places[place]
            usable = {week: count * facts.capacity for week, count in nights.items()}
            found.append(self._row(facts.key, "nights", used[place], usable))
        return tuple(found)

    # tides ------------------------------------------------------------------------------------------------------------
    def _tides(self) -> tuple[Row, Row]:
        """Tides in which a job at the ramp could be done whole, in light, beside those in which one is planned.

        A tide is one stretch of the widest water that any such job asks for: what a deeper boat needs lies inside it.
        """
        wet = [way for job in self.problem.jobs for way in job.ways if self._water_of(way)]
        sets = sorted({at for way in wet for at in self._water_of(way)}, key=self._width)
        if not sets:
            empty = self._row("", "tides", {}, {})
            return empty, empty
        tides = _Tides(self.problem.window_sets[sets[-1]].intervals)
        used: set[int] = set()
        for row in self.plan.placements:
            if row.starts_at >= self.problem.now and self._water_of(self.problem.jobs[row.job].ways[row.way]):
                used |= tides.touched(self.timeline.minute_at(row.starts_at), self.timeline.end_minute(row.ends_at))
        rows = []
        for at in (sets[-1], sets[0]):
            ways = [way for way in wet if at in self._water_of(way)]
            usable = self._usable(at, ways[0], min(way.duration_quarters for way in ways), tides)
            if at == sets[-1]:
                usable |= used  # a job there by leave, or in a tide that was wide enough when it was pinned
            taken = self._tide_weeks(tides, used & usable)
            rows.append(self._row("", "tides", taken, self._tide_weeks(tides, usable)))
        return rows[0], rows[1]

    def _water_of(self, way: Way) -> list[int]:
        """Its sets of water at the ramp; of all water where the season names no ramp."""
        sets = self.problem.window_sets
        found = [inside.window_set for inside in way.inside if sets[inside.window_set].rule == "water"]
        return [at for at in found if not self.ramp or sets[at].key.startswith(RAMP)]

    def _width(self, window_set: int) -> int:
        return sum(ends - starts for starts, ends in self.problem.window_sets[window_set].intervals)

    def _usable(self, water: int, way: Way, quarters: int, tides: _Tides) -> set[int]:
        """The tides in which this water, with the light that the way asks for, holds for so many quarters of a day."""
        free = self._inside(self.problem.window_sets[water].intervals)
        for inside in way.inside:
            if self.problem.window_sets[inside.window_set].rule == "light":
                free &= self._inside(self.problem.window_sets[inside.window_set].intervals)
        found: set[int] = set()
        run = 0
        for position in sorted(free):
            run = run + 1 if position - 1 in free and position % self.per_day else 1
            if run >= quarters:
                minute = self.timeline.minute_at(position)
                found |= tides.touched(minute, minute + QUARTER_MIN)
        return found

    def _tide_weeks(self, tides: _Tides, numbers: set[int]) -> dict[int, int]:
        found: dict[int, int] = defaultdict(int)
        for number in numbers:
            day = min(self.timeline.day_of_minute(tides.middle(number)), len(self.weeks) - 1)
            found[self.weeks[day]] += 1
        return found


class _Tides:
    """Stretches of water in order of time, numbered."""

    def __init__(self, stretches: tuple[Minutes, ...]) -> None:
        self.stretches = stretches
        self.starts = [starts for starts, _ends in stretches]

    def touched(self, starts: int, ends: int) -> set[int]:
        first = max(0, bisect_right(self.starts, starts) - 1)
        last = bisect_left(self.starts, ends)
        return {number for number in range(first, last) if self.stretches[number][1] > starts}

    def middle(self, number: int) -> int:
        return sum(self.stretches[number]) // 2
