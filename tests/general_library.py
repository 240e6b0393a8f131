"""A season as PyJobShop sees it, a general scheduling library: the same rules as far as it can express them.

Its axis is clock quarters from the season's first, so that waits are exact.  Nights, breaks and weekends are breaks of
every resource; leave is a task that cannot move, since work that pauses would run on after a break.  A window set is a
resource that is never short and has a break wherever the set has no interval.

What it cannot say, and what stands in its place:

    days                lateness counts in clock quarters, not in working days; flow has no objective that counts from
                        the first start, so it asks for none
    people who slide    their normal hours only (narrower)
    stays by night      not at all, nor a place that stays taken for extra quarters, nor a window for a part of a job
    working-time waits  an allowance is left out
    leaving out         every boat must be placed

Its plan is compared only where our check finds no fault, whatever it could not say.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations, product
from typing import Any

from pyjobshop import Model

from yard.planning.plan import Placement, Plan, StayAt
from yard.planning.problem import Job, Minutes, Problem, Way
from yard.planning.timeline import Timeline

QUARTER_MIN = 15
MOST_MODES = 60_000  # of all jobs together: beyond, the model alone takes more memory than the machine has
Span = tuple[int, int]


class TooLarge(ValueError):
    """More named crews than the library's one mode each can hold."""


@dataclass
class Chosen:
    """One mode: who does the job, and of which place how many units."""

    job: int
    way: int
    people: tuple[int, ...]
    places: tuple[tuple[int, int], ...]


@dataclass
class Season:
    """A Problem as a model. `cannot`: what it left unsaid of this Problem."""

    problem: Problem
    model: Any = field(default_factory=Model)
    modes: list[Chosen] = field(default_factory=list)
    cannot: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.days = [
            (start // QUARTER_MIN, start // QUARTER_MIN + self.problem.calendar.quarters_per_day)
            for start in self.problem.calendar.day_starts
        ]
        self.end = self.days[-1][1]
        self.timeline = Timeline(self.problem.calendar)
        self.people = [
            self.model.add_machine(breaks=self._outside(person.hours), name=person.key)
            for person in self.problem.people
        ]
        for person, machine in zip(self.problem.people, self.people, strict=True):
            for start, end in person.away:
                self._taken(machine, start, end)
        self.places = [
            self.model.add_renewable(
                capacity=place.capacity, breaks=_but(self._closed(place.closed), self.end), name=place.key
            )
            for place in self.problem.places
        ]
        self.windows = [
            self.model.add_renewable(capacity=1_000_000, breaks=self._outside(row.intervals), name=row.key)
            for row in self.problem.window_sets
        ]
        self.yard = self.model.add_renewable(capacity=1_000_000, breaks=_but(self.days, self.end), name="day")
        self.boats = {
            boat: self.model.add_machine(name=row.key)
            for boat, row in enumerate(self.problem.boats)
            if sum(job.boat == boat and job.needs_boat for job in self.problem.jobs) > 1
        }
        if self.problem.stays:
            self.cannot.add("stays by night")
        self.tasks = [self._task(number, job) for number, job in enumerate(self._orders())]
        self._links()
        self.model.set_objective(weight_total_tardiness=1)

    def _orders(self) -> Iterator[Job]:
        self.orders = []
        for order in self.problem.orders:
            day = min(order.due_day, len(self.days) - 1)
            due = self.days[day][1] if day >= 0 else 0
            self.orders.append(self.model.add_job(weight=order.goes_first, due_date=due, name=order.key))
        yield from self.problem.jobs

    def _outside(self, inside: Iterable[Minutes]) -> list[Span]:
        """The quarters of the whole clock that are not wholly inside."""
        return _but(((-(-start // QUARTER_MIN), end // QUARTER_MIN) for start, end in inside), self.end)

    def _closed(self, closed: Sequence[Minutes]) -> Iterator[Span]:
        """The yard's days without the quarters that a closure touches."""
        shut = [(start // QUARTER_MIN, -(-end // QUARTER_MIN)) for start, end in closed]
        for start, end in self.days:
            for first, last in [span for span in shut if span[1] > start and span[0] < end]:
                if first > start:
                    yield start, first
                start = max(start, last)
            if start < end:
                yield start, end

    def _taken(self, machine: Any, start_min: int, end_min: int) -> None:
        """Leave: as long as it lasts within the breaks' days, day by day, since a task does not cross a break."""
        start, end = start_min // QUARTER_MIN, -(-end_min // QUARTER_MIN)
        own = machine.breaks
        for first, last in _but(own, self.end):
            lo, hi = max(start, first), min(end, last)
            if lo < hi:
                task = self.model.add_task(earliest_start=lo, latest_start=lo)
                self.modes.append(Chosen(-1, 0, (), ()))
                self.model.add_mode(task, [machine], duration=hi - lo, demands=[0])

    def _task(self, number: int, job: Job) -> Any:
        first = self._clock(self.problem.now)
        if job.not_before is not None:
            first = max(first, -(-job.not_before // QUARTER_MIN))
        last = {} if job.not_after is None else {"latest_start": job.not_after // QUARTER_MIN}
        pin = next((pin for pin in self.problem.pins if pin.job == number), None)
        if pin is not None:
            first, last = self._clock(pin.starts_at), {"latest_start": self._clock(pin.starts_at)}
        task = self.model.add_task(
            job=self.orders[job.order],
            earliest_start=max(0, first),
            latest_end=self.end,
            allow_breaks=job.pausing == "paused",
            name=job.key,
            **last,
        )
        if job.allowance_quarters:
            self.cannot.add("working-time waits")
        if pin is not None:
            lasts = self.timeline.end_minute(pin.ends_at) // QUARTER_MIN - self._clock(pin.starts_at)
            self.modes.append(Chosen(number, pin.way, pin.people, ()))
            self.model.add_mode(task, [], duration=lasts, demands=[])
            return task
        for index, way in enumerate(job.ways):
            for crew in _crews(self.problem, way):
                for places in product(*(need.any_of for need in way.places)):
                    self._mode(task, number, index, crew, places)
        return task

    def _mode(self, task: Any, number: int, index: int, crew: tuple[int, ...], places: tuple[int, ...]) -> None:
        job = self.problem.jobs[number]
        way = job.ways[index]
        if len(self.modes) >= MOST_MODES:
            raise TooLarge(f"more than {MOST_MODES:,} named crews and places")
        wanted: dict[int, int] = {}
        for place, need in zip(places, way.places, strict=True):
            wanted[place] = wanted.get(place, 0) + need.units
        resources = [self.people[person] for person in crew]
        demands = [0] * len(crew)
        if job.pausing != "elapsed":
            resources += [self.places[place] for place in wanted]
            demands += list(wanted.values())
            for inside in way.inside:
                if inside.offset_quarters or inside.length_quarters is not None:
                    self.cannot.add("windows for a part of a job")
                    continue
                resources.append(self.windows[inside.window_set])
                demands.append(1)
            resources.append(self.yard)
            demands.append(1)
        elif wanted:
            self.cannot.add("places of work that runs on the clock")
        if job.needs_boat and job.boat in self.boats:
            resources.append(self.boats[job.boat])
            demands.append(0)
        if way.place_extra_quarters:
            self.cannot.add("places that stay taken")
        units = tuple((place, need.units) for place, need in zip(places, way.places, strict=True))
        self.modes.append(Chosen(number, index, crew, units))
        self.model.add_mode(task, resources, duration=way.duration_quarters, demands=demands)

    def _links(self) -> None:
        for link in self.problem.links:
            before, after = self.tasks[link.before], self.tasks[link.after]
            if link.min_wait is not None:
                self.model.add_end_before_start(before, after, delay=-(-link.min_wait // QUARTER_MIN))
            if link.max_wait is not None:
                self.model.add_start_before_end(after, before, delay=-(link.max_wait // QUARTER_MIN))

    def _clock(self, position: int) -> int:
        return self.timeline.minute_at(position) // QUARTER_MIN

    def solve(self, seconds: float, workers: int, seed: int) -> Plan | None:
        """Its plan in our words, or None."""
        found = self.model.solve(time_limit=seconds, num_workers=workers, display=False, random_seed=seed)
        if not found.best.tasks:
            return None
        placed = []
        for data in found.best.tasks:
            mode = self.modes[data.mode]
            if mode.job >= 0:
                placed.append((mode, data.start, data.end))
        return self._plan(placed)

    def _plan(self, placed: list[tuple[Chosen, int, int]]) -> Plan:
        busy: dict[tuple[int, int], int] = {}
        pins = {pin.job: pin for pin in self.problem.pins}
        rows: list[Placement] = []
        for mode, start, end in sorted(placed, key=lambda row: row[1]):
            starts_at = self.timeline.first_at_or_after(start * QUARTER_MIN)
            ends_at = max(starts_at + 1, self.timeline.first_at_or_after((end - 1) * QUARTER_MIN) + 1)
            if mode.job in pins:
                pin = pins[mode.job]
                held, ends_at = pin.places, pin.ends_at
                busy.update({unit: max(busy.get(unit, 0), pin.ends_at) for unit in held})
            else:
                held = tuple(unit for need in mode.places for unit in self._units(busy, need, starts_at, ends_at))
            rows.append(
                Placement(
                    job=mode.job,
                    way=mode.way,
                    starts_at=starts_at,
                    ends_at=ends_at,
                    people=mode.people,
                    places=held,
                )
            )
        stays = tuple(StayAt(stay=n, place=stay.any_of[0], unit=0) for n, stay in enumerate(self.problem.stays))
        return Plan(placements=tuple(sorted(rows, key=lambda row: row.job)), stays=stays)

    def _units(
        self, busy: dict[tuple[int, int], int], need: tuple[int, int], starts_at: int, ends_at: int
    ) -> list[tuple[int, int]]:
        """Intervals in order of start never need more units than are taken at once."""
        place, count = need
        free = [
            (place, unit)
            for unit in range(self.problem.places[place].capacity)
            if busy.get((place, unit), 0) <= starts_at
        ][:count]
        busy.update(dict.fromkeys(free, ends_at))
        return free


def _but(spans: Iterable[Span], end: int) -> list[Span]:
    """What of [0, end) lies in none of the spans, which are sorted."""
    found, at = [], 0
    for first, last in spans:
        if first >= last:
            continue
        if first > at:
            found.append((at, first))
        at = max(at, last)
    if at < end:
        found.append((at, end))
    return found


def _crews(problem: Problem, way: Way) -> list[tuple[int, ...]]:
    """Every choice of distinct people for the way's needs, in the order of the needs."""
    able = [
        [n for n, person in enumerate(problem.people) if person.skills.get(need.skill, 0) >= need.level]
        for need in way.crew
    ]
    parts = [list(combinations(people, need.count)) for people, need in zip(able, way.crew, strict=True)]
    whole = (tuple(person for part in chosen for person in part) for chosen in product(*parts))
    return [crew for crew in whole if len(set(crew)) == len(crew)]


__all__ = ["Season", "TooLarge"]
