"""A Problem as the forests of the exact program: every order's jobs with all of their starts.

What a boat meets alone is exact: her dates, tides, light and weather, what is closed, waits, the hours and leave of
the people who could do each job (enough of them at once, for each of its needs and for all together), pinned jobs.
Given up, so that the program stays exact and the bound valid: of several jobs that follow one job only one ties it
(the others hold for the earliest starts), berths, two jobs that want the boat at once, what people may slide in a week.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from yard.planning.axis import Axis, Table
from yard.planning.bound import program as p
from yard.planning.bound.hands import Hands, Mask
from yard.planning.engine import FAR
from yard.planning.problem import Crew, Job, Link, PlaceNeed, Problem, Way

SCALE = 1 << 16
DEAREST = 1 << 44
Load = tuple[tuple[tuple[str, int, int], ...], int]
"""Who works: (skill, level, how many), sorted, and the number of the counted quarters (0: every quarter)."""


@dataclass(slots=True)
class Mode:
    """A way of doing a job: its starts, ends (one past the last quarter), the end of what its places hold.

    load, ground: numbers of what it takes of people and of places (see `Tables.loads`, `Tables.grounds`); -1: nothing.
    """

    way: int
    starts: Table
    ends: Table
    holds: Table
    load: int
    ground: int


@dataclass(slots=True)
class Tables:
    """Everything the program reads; see `program` for the sequences."""

    problem: Problem
    axis: Axis
    scale: int  # parts of one unit of cost
    orders: list[int] = field(default_factory=list)
    jobs: list[int] = field(default_factory=list)  # by row of T: the job's number
    loads: list[Load] = field(default_factory=list)
    grounds: list[tuple[tuple[frozenset[int], int], ...]] = field(default_factory=list)
    counted: list[Mask] = field(default_factory=list)
    present: list[Mask] = field(default_factory=list)  # by person: normal hours, not away, not pinned
    widest: list[Mask] = field(default_factory=list)  # the same with all that a day may slide
    rows: list[int] = field(default_factory=list)  # R
    trees: list[int] = field(default_factory=list)  # T
    modes: list[int] = field(default_factory=list)  # M
    start: Table = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    end: Table = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    hold: Table = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    ready: Table = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    latest: Table = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    load: Table = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    ground: Table = field(default_factory=lambda: np.zeros(0, dtype=np.int64))

    @property
    def end_day(self) -> Table:
        day: Table = (self.end - 1) >> self.axis.shift
        return day


def build(problem: Problem) -> Tables:
    """The tables of every order with jobs."""
    return _Builder(problem, _scale(problem)).build()


def _scale(problem: Problem) -> int:
    """Parts of one unit of cost, as many (to SCALE) as leave the dearest order below DEAREST; 0 where none do."""
    days = problem.calendar.days
    dearest = 1
    for order in problem.orders:
        late = problem.rates.late_day * order.goes_first * (days + abs(order.due_day))
        dearest = max(dearest, late + problem.rates.flow_day * (days + abs(order.began_day or 0)))
    scale = SCALE
    while scale and scale * dearest > DEAREST:
        scale >>= 1
    return scale


class _Builder:
    def __init__(self, problem: Problem, scale: int) -> None:
        self.problem, self.scale = problem, scale
        self.axis = Axis(problem.calendar, problem.forecast_until)
        self.hands = Hands(problem, self.axis)
        self.size, self.quarter = self.hands.size, self.hands.quarter
        self.tables = Tables(problem, self.axis, scale, present=self.hands.present, widest=self.hands.widest)
        self.pins = {pin.job: pin for pin in problem.pins}
        self.open = [~self.hands.mask(self.axis.touched(place.closed)) & self.quarter for place in problem.places]
        self.tables.counted.append(self.quarter)
        self._counted: dict[bytes, int] = {self.quarter.tobytes(): 0}
        self._runs: dict[tuple[object, ...], Mask] = {}
        self._waits: dict[tuple[object, ...], tuple[Table | None, Table | None]] = {}
        self._ends: dict[tuple[object, ...], Table] = {}

    def build(self) -> Tables:
        jobs: list[list[int]] = [[] for _ in self.problem.orders]
        for number, job in enumerate(self.problem.jobs):
            jobs[job.order].append(number)
        found = [self._modes(number) for number in range(len(self.problem.jobs))]
        self._push(found)
        columns: list[list[Table]] = [[] for _ in range(7)]
        count = 0
        for order, numbers in enumerate(jobs):
            if not numbers:
                continue
            first = len(self.tables.trees) // p.T_STRIDE
            follow = self._followers(numbers)
            lined = _lined_up(numbers, follow)
            at = {number: first + row for row, number in enumerate(lined)}
            for number in lined:
                link = follow.get(number)
                mode = len(self.tables.modes)
                for made in found[number]:
                    self.tables.modes.append(count)
                    count += len(made.starts)
                    ready, latest = self._wait(number, made, link)
                    loads = np.full(len(made.starts), made.load)
                    grounds = np.full(len(made.starts), made.ground)
                    for column, part in zip(
                        columns, (made.starts, made.ends, made.holds, ready, latest, loads, grounds), strict=True
                    ):
                        column.append(part)
                before = [
                    at[other] for other in lined if follow.get(other) is not None and follow[other].after == number
                ]
                self.tables.trees += [
                    mode,
                    len(self.tables.modes),
                    min(before, default=0),
                    max(before, default=-1) + 1,
                    int(link is not None and link.max_wait is not None),
                    int(link is None),
                ]
                self.tables.jobs.append(number)
            self.tables.orders.append(order)
            self._order(order, first, numbers, found)
        self.tables.modes.append(count)
        names = ("start", "end", "hold", "ready", "latest", "load", "ground")
        for name, column in zip(names, columns, strict=True):
            setattr(self.tables, name, np.concatenate([np.zeros(0, dtype=np.int64), *column]).astype(np.int64))
        return self.tables

    # people ----------------------------------------------------------------------------------------------------------
    # modes -----------------------------------------------------------------------------------------------------------
    def _modes(self, number: int) -> list[Mode]:
        job = self.problem.jobs[number]
        if number in self.pins:
            pin = self.pins[number]
            start = np.array([self.axis.inner(pin.starts_at)], dtype=np.int64)
            end = np.array([self.axis.inner_end(pin.ends_at)], dtype=np.int64)
            return [Mode(pin.way, start, end, end, -1, -1)]
        found = []
        for index, way in enumerate(job.ways):
            for starts, ends, load in self._taken(job, way):
                starts &= self._dates(job)
                starts &= ends < FAR
                for need in way.places:
                    starts &= self._grounded(need, ends)
                at = np.flatnonzero(starts)
                held = ends[at]
                day_end = (((held - 1) >> self.axis.shift) << self.axis.shift) + self.axis.quarters
                holds = np.minimum(held + way.place_extra_quarters, day_end)
                found.append(Mode(index, at.astype(np.int64), held, holds, load, self._ground(way)))
        return found

    def _taken(self, job: Job, way: Way) -> Iterator[tuple[Mask, Table, int]]:
        """Starts, the end of each, and the number of what is taken of people."""
        length = way.duration_quarters
        if job.pausing == "elapsed":
            key = ("elapsed", length)
            if key not in self._ends:
                self._ends[key] = self.axis.elapsed_ends(length)[: self.size]
            yield self.quarter.copy(), self._ends[key], -1
            return
        if job.pausing == "fitted":
            starts = self._mask_of_starts(way)
            people = self.tables.widest if way.slides else self.tables.present
            whose = ("fitted", length, way.slides)
            run = {person: self.hands.run((*whose, person), mask, length) for person, mask in enumerate(people)}
            ends = np.arange(self.size, dtype=np.int64) + length
            yield starts & self.hands.enough(way.crew, whose, run), ends, self._load(way.crew, 0)
            return
        for counted, exact in self.hands.counts(way):
            number = self._counted.setdefault(counted.tobytes(), len(self.tables.counted))
            if number == len(self.tables.counted):
                self.tables.counted.append(counted)
            paused = ("paused", length, number)
            if paused not in self._ends:
                self._ends[paused] = self.hands.paused_ends(counted, length)
            ends = self._ends[paused]
            if not exact:
                yield counted.copy(), ends, -1
                continue
            run = {one: self.hands.stretch((*paused, one), counted, one, ends) for one in self.hands.of(way)}
            yield counted & self.hands.enough(way.crew, paused, run), ends, self._load(way.crew, number)

    def _mask_of_starts(self, way: Way) -> Mask:
        key = ("starts", way.duration_quarters, way.inside)
        if key not in self._runs:
            pairs = [(self.problem.window_sets[inside.window_set], inside) for inside in way.inside]
            self._runs[key] = self.hands.mask(self.axis.start_words(way.duration_quarters, pairs))
        return self._runs[key].copy()

    def _dates(self, job: Job) -> Mask:
        timeline, size = self.axis.timeline, self.problem.calendar.size
        first, last = self.problem.now, size - 1
        if job.not_before is not None:
            first = max(first, timeline.first_at_or_after(job.not_before))
        if job.not_after is not None:
            last = min(last, timeline.last_at_or_before(job.not_after))
        found = np.zeros(self.size, dtype=bool)
        if first <= last and first < size:
            found[self.axis.inner(max(0, first)) : self.axis.inner(last) + 1] = True
        return found

    def _grounded(self, need: PlaceNeed, ends: Table) -> Mask:
        """Starts for which one of the places is large enough and not closed until the job is over."""
        found = np.zeros(self.size, dtype=bool)
        for place in set(need.any_of):
            if self.problem.places[place].capacity >= need.units:
                shut = np.concatenate(([0], np.cumsum(~self.open[place] & self.quarter)))
                found |= shut[np.minimum(ends, self.size)] == shut[:-1]
        return found

    def _load(self, crew: tuple[Crew, ...], counted: int) -> int:
        wanted: dict[tuple[str, int], int] = {}
        for need in crew:
            wanted[need.skill, need.level] = wanted.get((need.skill, need.level), 0) + need.count
        key: Load = (tuple(sorted((skill, level, count) for (skill, level), count in wanted.items())), counted)
        if not crew:
            return -1
        if key not in self.tables.loads:
            self.tables.loads.append(key)
        return self.tables.loads.index(key)

    def _ground(self, way: Way) -> int:
        key = tuple((frozenset(need.any_of), need.units) for need in way.places)
        if not key:
            return -1
        if key not in self.tables.grounds:
            self.tables.grounds.append(key)
        return self.tables.grounds.index(key)

    # waits -----------------------------------------------------------------------------------------------------------
    def _followers(self, numbers: list[int]) -> dict[int, Link]:
        """The one link that ties each job to a job after it: a longest wait first, else the nearest after it."""
        mine = set(numbers)
        found: dict[int, Link] = {}
        for link in self.problem.links:
            if link.before not in mine or link.after not in mine or not self._ties(link):
                continue
            other = found.get(link.before)
            if other is None or (other.max_wait is None and link.max_wait is not None):
                found[link.before] = link
        return found

    def _ties(self, link: Link) -> bool:
        """A minimum of zero or more makes no circle; two pinned jobs are facts, whatever their waits."""
        if link.before in self.pins and link.after in self.pins:
            return False
        return link.min_wait is not None and link.min_wait >= 0

    def _wait(self, number: int, mode: Mode, link: Link | None) -> tuple[Table, Table]:
        if link is None:
            return np.zeros(len(mode.starts), dtype=np.int64), np.full(len(mode.starts), FAR)
        job = self.problem.jobs[number]
        clock = job.ways[mode.way].duration_quarters if job.pausing == "elapsed" else None
        key = (link.min_wait, link.max_wait, job.allowance_quarters, clock)
        if key not in self._waits:
            made = self.axis.wait_tables(link.min_wait, link.max_wait, job.allowance_quarters, clock)
            self._waits[key] = made.earliest, made.latest
        earliest, latest = self._waits[key]
        at = mode.ends if clock is None else mode.starts
        ready = np.zeros(len(at), dtype=np.int64) if earliest is None else np.minimum(earliest[at], FAR)
        return ready, np.full(len(at), FAR) if latest is None else np.minimum(latest[at], FAR)

    def _push(self, found: list[list[Mode]]) -> None:
        """Earliest starts along every link, also those that tie no forest: what comes too early goes."""
        waiting = [0] * len(found)
        after: dict[int, list[Link]] = {}
        for link in self.problem.links:
            if link.min_wait is not None and link.min_wait >= 0:
                waiting[link.after] += 1
                after.setdefault(link.before, []).append(link)
        free = [job for job, count in enumerate(waiting) if not count]
        floor = [0] * len(found)
        while free:
            job = free.pop()
            if job not in self.pins:
                for mode in found[job]:
                    keep = mode.starts >= floor[job]
                    mode.starts, mode.ends, mode.holds = mode.starts[keep], mode.ends[keep], mode.holds[keep]
            for link in after.get(job, ()):
                ready = [int(self._wait(job, mode, link)[0][0]) for mode in found[job] if len(mode.starts)]
                floor[link.after] = max(floor[link.after], min(ready, default=0))
                waiting[link.after] -= 1
                if not waiting[link.after]:
                    free.append(link.after)

    # orders ----------------------------------------------------------------------------------------------------------
    def _order(self, order: int, first: int, numbers: list[int], found: list[list[Mode]]) -> None:
        row, rates, days = self.problem.orders[order], self.problem.rates, self.axis.days
        late, flow = rates.late_day * row.goes_first * self.scale, rates.flow_day * self.scale
        earliest = min(
            (
                int(mode.starts[0]) >> self.axis.shift
                for number in numbers
                for mode in found[number]
                if len(mode.starts)
            ),
            default=days,
        )
        begun = self._begun_when_left_out(order, numbers)
        began = p.NEVER if row.began_day is None else row.began_day
        out = late * max(0, days - 1 - row.due_day) + flow * (days - 1 - min(begun, began))
        jobs = len(self.tables.trees) // p.T_STRIDE
        self.tables.rows += [first, jobs, row.due_day, late, flow, began, out, min(earliest, days), 0, 0]

    def _begun_when_left_out(self, order: int, numbers: list[int]) -> int:
        """The latest first day that the score can give an order of which a job is not placed."""
        if len({self.problem.jobs[number].boat for number in numbers}) > 1:
            return self.axis.days - 1  # the jobs of one boat may be placed, those of the other left out
        pinned = [self.pins[number].starts_at // self.axis.quarters for number in numbers if number in self.pins]
        if pinned:
            return min(pinned)
        releases = [self.problem.jobs[number].not_before for number in numbers]
        if any(release is None for release in releases):
            return 0
        first = min(release for release in releases if release is not None)
        return min(self.axis.timeline.day_of_minute(first), self.axis.days - 1)


def _lined_up(numbers: list[int], follow: dict[int, Link]) -> list[int]:
    """The jobs of an order, the ones before each job side by side: breadth first from the last, reversed."""
    before: dict[int, list[int]] = {}
    for number in numbers:
        if number in follow:
            before.setdefault(follow[number].after, []).append(number)
    lined = [number for number in numbers if number not in follow]
    for number in lined:
        lined += before.get(number, [])
    return lined[::-1]
