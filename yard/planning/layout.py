"""A Problem as the engine's flat tables: `compile_problem` gives a Layout; `state` makes and reads engine states."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import reduce
from itertools import pairwise, product
from operator import and_

from yard.planning import engine as e
from yard.planning.axis import Axis, SpanTables
from yard.planning.crews import Gang, gang_for, mixes
from yard.planning.problem import Job, Link, Person, Problem, Way
from yard.planning.units import CannotExpress, Units, group

LOGS = 4096


@dataclass(slots=True)
class PersonRows:
    """Rows of one person; -1 where there is none. `tracked`: free words are worked out, not turned bit by bit."""

    free: int
    slide: int = -1
    pause: int = -1
    taken: int = -1
    worked: int = -1
    tracked: bool = False


@dataclass(slots=True)
class Mode:
    """A way done by people of one class of hours, at places that do not contend with one another.

    counted: words of the quarters in which a paused job goes on.
    takes: for each place need of the way, in order: (place, place need of the mode, how many of its units).
    """

    job: int
    way: int
    gang: Gang
    row: int = -1
    takes: tuple[tuple[int, int], ...] = ()


@dataclass(slots=True)
class Layout:
    """The tables `G` and what is needed to turn a plan into a state and back."""

    problem: Problem
    axis: Axis
    units: Units
    g: list[int]
    modes: dict[int, Mode]
    people: list[PersonRows]
    unit_rows: list[int]
    boat_rows: dict[int, int]
    open_rows: dict[int, int]
    stay_places: list[int]
    state_size: int
    normal: list[list[int]]
    present: list[list[int]]
    constant_rows: dict[int, list[int]] = field(default_factory=dict)

    def place_of_row(self, row: int) -> tuple[int, int]:
        """(place, unit) of a row."""
        for place, first in enumerate(self.unit_rows):
            if first <= row < first + self.problem.places[place].capacity:
                return place, row - first
        raise LookupError(f"row {row} is no unit of a place")

    def start_words(self, job: int, way: int) -> list[int]:
        """The starts that windows, day and dates allow, one word a day: what the generator calls a start domain."""
        row = next(row for row, mode in self.modes.items() if mode.job == job and mode.way == way)
        domain, lo, hi = self.g[row + e.K_DOMAIN], self.g[row + e.K_LO], self.g[row + e.K_HI]
        words = []
        for day in range(self.axis.days):
            base = day << self.axis.shift
            first, last = max(0, lo - base), min(self.axis.quarters - 1, hi - base)
            inside = (2 << last) - (1 << first) if first <= last else 0
            words.append(self.g[domain + day] & inside)
        return words


def compile_problem(problem: Problem) -> Layout:
    """Raises CannotExpress where the engine lacks a feature; see `units` and `crews`."""
    return _Builder(problem).build()


class _Builder:
    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.axis = Axis(problem.calendar)
        self.units = group(problem)
        self.g: list[int] = [0] * e.HEADER
        self.known: dict[tuple[int, ...], int] = {}
        self.rows = 0
        self.modes: dict[int, Mode] = {}
        self.constant_rows: dict[int, list[int]] = {}
        self.spans: dict[tuple[object, ...], tuple[int, int, int]] = {}
        self.domains: dict[tuple[object, ...], int] = {}
        self.pinned = {pin.job for pin in problem.pins}
        self.hold_rows = 0
        self.most_units = 1

    # small things
    def add(self, values: Iterable[int]) -> int:
        """Append a table; gives its offset. Equal tables stand once."""
        table = tuple(int(value) for value in values)
        if table not in self.known:
            self.known[table] = len(self.g)
            self.g.extend(table)
        return self.known[table]

    def space(self, size: int) -> int:
        at = len(self.g)
        self.g.extend([0] * size)
        return at

    def new_row(self, count: int = 1) -> int:
        self.rows += count
        return self.rows - count

    # ---------------------------------------------------------------------------------------------------------------
    def build(self) -> Layout:
        g, axis, problem = self.g, self.axis, self.problem
        g[e.SHIFT], g[e.QUARTERS], g[e.DAYS], g[e.FULL] = axis.shift, axis.quarters, axis.days, axis.full
        g[e.JOBS], g[e.UNITS], g[e.ORDERS] = len(problem.jobs), len(self.units.jobs), len(problem.orders)
        g[e.PEOPLE], g[e.STAYS] = len(problem.people), len(problem.stays)
        self.normal = [axis.words(person.hours) for person in problem.people]
        away = [axis.touched(person.away) for person in problem.people]
        self.present = [[axis.full & ~word for word in words] for words in away]
        self._place_rows()
        self._people()
        g[e.JOB] = self.space(len(problem.jobs) * e.JOB_STRIDE)
        for job in range(len(problem.jobs)):
            self._job(job)
        self._links()
        self._orders()
        self._units()
        self._stays()
        self._tails()
        g[e.LOGS] = self.add(_minus_logs())
        g[e.ROWS] = self.rows
        layout = Layout(
            problem,
            axis,
            self.units,
            g,
            self.modes,
            self.people,
            self.unit_rows,
            self.boat_rows,
            self.open_rows,
            self.stay_places,
            0,
            self.normal,
            self.present,
            self.constant_rows,
        )
        layout.state_size = self._state()
        return layout

    # places
    def _place_rows(self) -> None:
        self.unit_rows = [self.new_row(place.capacity) for place in self.problem.places]
        self.open_rows = {}
        for number, place in enumerate(self.problem.places):
            if place.closed:
                self.open_rows[number] = self.new_row()
                shut = self.axis.touched(place.closed)
                self.constant_rows[self.open_rows[number]] = [self.axis.full & ~word for word in shut]
        after: dict[int, set[int]] = {}
        for link in self.problem.links:
            if link.min_wait is not None and link.min_wait >= 0:
                after.setdefault(link.before, set()).add(link.after)
        needing: dict[int, list[int]] = {}
        for jobs in self.units.jobs:
            for job in jobs:
                if self.problem.jobs[job].needs_boat:
                    needing.setdefault(self.problem.jobs[job].boat, []).append(job)
        self.boat_rows = {
            boat: self.new_row()
            for boat, jobs in needing.items()
            if any(two not in _reached(after, one) for one, two in pairwise(jobs))
            or any(job in self.pinned for job in jobs)
        }

    # people
    def _people(self) -> None:
        g, problem = self.g, self.problem
        weeks = problem.calendar.weeks or (0,) * self.axis.days
        numbers = {week: number for number, week in enumerate(dict.fromkeys(weeks))}
        g[e.WEEK] = self.add(numbers[week] for week in weeks)
        lists = [[day for day, week in enumerate(weeks) if numbers[week] == number] for number in numbers.values()]
        offsets = [(self.add(days), len(days)) for days in lists]
        g[e.WEEK_DAYS] = self.space(2 * len(lists))
        for number, (offset, count) in enumerate(offsets):
            g[g[e.WEEK_DAYS] + 2 * number : g[e.WEEK_DAYS] + 2 * number + 2] = [offset, count]
        pausing = any(job.pausing == "paused" and way.crew for job in problem.jobs for way in job.ways)
        sliding = any(way.slides for job in problem.jobs for way in job.ways)
        self.week_count, self.slid_counters = len(lists), 0
        self.people: list[PersonRows] = []
        g[e.PERSON] = self.space(len(problem.people) * e.PERSON_STRIDE)
        for number, person in enumerate(problem.people):
            self._person(number, person, pausing, sliding and person.slide is not None)

    def _person(self, number: int, person: Person, pausing: bool, sliding: bool) -> None:
        g, axis = self.g, self.axis
        rows = PersonRows(self.new_row())
        self.people.append(rows)
        normal, present = self.normal[number], self.present[number]
        if person.slide is not None or (pausing and any(word != axis.full for word in normal)):
            rows.tracked = True
            rows.pause, rows.taken, rows.worked = self.new_row(), self.new_row(), self.new_row()
            if sliding:
                rows.slide = self.new_row()
        else:
            rows.pause = rows.free
        at = g[e.PERSON] + number * e.PERSON_STRIDE
        spans = [word.bit_length() - (word & -word).bit_length() + 1 if word else 0 for word in normal]
        slide = person.slide
        g[at + e.P_SPAN] = -1
        if slide is not None:
            wide = [
                axis.words([*_slid_hours(axis.calendar.day_starts[day], word, slide.early_min, slide.late_min)])[day]
                if word & free
                else word
                for day, (word, free) in enumerate(zip(normal, present, strict=True))
            ]
            g[at + e.P_WIDE] = self.add(wide)
            g[at + e.P_SPAN] = self.add(span or slide.span_min // 15 for span in spans)
            g[at + e.P_PER_WEEK] = slide.days_per_week
            g[at + e.P_SLID] = self.slid_counters
            self.slid_counters += self.week_count
        g[at + e.P_ROW], g[at + e.P_SLIDE_ROW], g[at + e.P_PAUSE_ROW] = rows.free, rows.slide, rows.pause
        g[at + e.P_TRACKED], g[at + e.P_TAKEN], g[at + e.P_WORKED] = int(rows.tracked), rows.taken, rows.worked
        g[at + e.P_NORMAL], g[at + e.P_PRESENT] = self.add(normal), self.add(present)
        g[at + e.P_SKILLS] = len(person.skills)

    # jobs and modes
    def _job(self, number: int) -> None:
        g, job = self.g, self.problem.jobs[number]
        modes: list[tuple[Mode, list[int]]] = []
        pin = next((pin for pin in self.problem.pins if pin.job == number), None)
        for index, way in enumerate(job.ways):
            if pin is not None:
                if index == pin.way:
                    modes.append(self._bare_mode(number, job, index, way))
                continue
            for gang, counted in self._gangs(job, way):
                for places in self._place_choices(job, way):
                    made = self._mode(number, job, index, way, gang, counted, places)
                    if made is not None:
                        modes.append(made)
        at = g[e.JOB] + number * e.JOB_STRIDE
        g[at + e.J_MODES], g[at + e.J_MODE_COUNT] = len(g), len(modes)
        for mode, row in modes:
            mode.row = len(g)
            self.modes[mode.row] = mode
            g.extend(row)
        g[at + e.J_ORDER], g[at + e.J_UNIT] = job.order, self.units.unit_of[job.boat]
        g[at + e.J_PINNED], g[at + e.J_ELAPSED] = int(pin is not None), int(job.pausing == "elapsed")

    def _bare_mode(self, number: int, job: Job, index: int, way: Way) -> tuple[Mode, list[int]]:
        """A pinned job's mode: only read for its way and its tables."""
        row = [0] * e.MODE_STRIDE
        row[e.K_SPAN], row[e.K_LENGTH], row[e.K_WAY] = int(job.pausing != "fitted"), way.duration_quarters, index
        row[e.K_EXTRA] = way.place_extra_quarters
        return Mode(number, index, Gang((), (), (), ())), row

    def _gangs(self, job: Job, way: Way) -> list[tuple[Gang, list[int]]]:
        """Each gang with the quarters that count: for a job that pauses, the hours of all of its people."""
        everybody = tuple(range(len(self.problem.people)))
        if job.pausing != "paused" or not way.crew:
            gang = gang_for([(need, everybody) for need in way.crew], self.problem.people)
            return [] if gang is None else [(gang, [self.axis.full] * self.axis.days)]
        classes: dict[tuple[int, ...], list[int]] = {}
        for person in everybody:
            classes.setdefault(tuple(self.normal[person]), []).append(person)
        hours = list(classes)
        found: list[tuple[Gang, list[int]]] = []
        for parts, used in mixes(way.crew, [tuple(people) for people in classes.values()]):
            gang = gang_for(parts, self.problem.people)
            if gang is not None:
                days = zip(*(hours[number] for number in used), strict=True)
                found.append((gang, [reduce(and_, words) for words in days]))
        return found

    def _place_choices(self, job: Job, way: Way) -> list[list[tuple[int, list[tuple[int, int]], list[int]]]]:
        """For each mode its place needs: (extra, [(place or -1 - boat, units)], numbers of the way's needs)."""
        needs = way.places
        boat: list[tuple[int, list[tuple[int, int]], list[int]]] = []
        if job.needs_boat and job.boat in self.boat_rows:
            boat = [(0, [(-1 - job.boat, 1)], [])]
        named = [place for need in needs for place in set(need.any_of)]
        if len(set(named)) == len(named):
            return [[(1, [(p, need.units) for p in need.any_of], [number]) for number, need in enumerate(needs)] + boat]
        choices = []
        for chosen in product(*(need.any_of for need in needs)):
            by_place: dict[int, list[int]] = {}
            for number, place in enumerate(chosen):
                by_place.setdefault(place, []).append(number)
            choices.append(
                [(1, [(p, sum(needs[n].units for n in numbers))], numbers) for p, numbers in by_place.items()] + boat
            )
        return choices

    def _mode(
        self,
        number: int,
        job: Job,
        index: int,
        way: Way,
        gang: Gang,
        counted: list[int],
        places: list[tuple[int, list[tuple[int, int]], list[int]]],
    ) -> tuple[Mode, list[int]] | None:
        row = [0] * e.MODE_STRIDE
        row[e.K_LENGTH], row[e.K_WAY], row[e.K_EXTRA] = way.duration_quarters, index, way.place_extra_quarters
        row[e.K_SHORTEST] = 1 if job.pausing == "elapsed" else way.duration_quarters
        lo, hi = self._dates(job)
        row[e.K_LO], row[e.K_HI] = lo, hi
        if job.pausing == "fitted":
            row[e.K_DOMAIN] = self._fitted_domain(way)
        else:
            row[e.K_SPAN] = 1
            row[e.K_DOMAIN], spans = self._span(job, way, counted)
            row[e.K_END], row[e.K_LAST], row[e.K_LAST_HOLD] = spans
        self._gang_tables(row, job, way, gang)
        needs = [table for _extra, options, _n in places if (table := self._place_need(options))]
        if len(needs) < len(places):
            return None  # no such place is large enough
        tables = [
            (extra, len(options), self.add(x for o in options for x in o))
            for (extra, _o, _n), options in zip(places, needs, strict=True)
        ]
        row[e.K_PLACES], row[e.K_PLACE_COUNT] = self.add(x for table in tables for x in table), len(tables)
        most = sum(max(option[2] for option in options) for options in needs)
        self.hold_rows = max(self.hold_rows, most + len(gang.turn))
        takes = {n: (i, way.places[n].units) for i, (_e, _o, numbers) in enumerate(places) for n in numbers}
        mode = Mode(number, index, gang, takes=tuple(takes[n] for n in range(len(way.places))))
        return mode, row

    def _dates(self, job: Job) -> tuple[int, int]:
        timeline, axis, size = self.axis.timeline, self.axis, self.problem.calendar.size
        first, last = self.problem.now, size - 1
        if job.not_before is not None:
            first = max(first, timeline.first_at_or_after(job.not_before))
        if job.not_after is not None:
            last = min(last, timeline.last_at_or_before(job.not_after))
        return e.FAR if first >= size else axis.inner(max(0, first)), -1 if last < 0 else axis.inner(last)

    def _fitted_domain(self, way: Way) -> int:
        key = ("fitted", way.duration_quarters, way.inside)
        if key not in self.domains:
            pairs = [(self.problem.window_sets[inside.window_set], inside) for inside in way.inside]
            self.domains[key] = self.add(self.axis.start_words(way.duration_quarters, pairs))
        return self.domains[key]

    def _span(self, job: Job, way: Way, counted: list[int]) -> tuple[int, tuple[int, int, int]]:
        axis, duration, extra = self.axis, way.duration_quarters, way.place_extra_quarters
        key = (job.pausing, duration, extra, tuple(counted))
        if key not in self.spans:
            elapsed = job.pausing == "elapsed"
            ends = axis.elapsed_ends(duration) if elapsed else axis.paused_ends(counted, duration)
            tables: SpanTables = axis.span_tables(ends, extra)
            self.spans[key] = (self.add(tables.end), self.add(tables.last), self.add(tables.last_hold))
            fits = [
                sum(1 << q for q in range(axis.quarters) if word >> q & 1 and ends[(day << axis.shift) + q] < e.FAR)
                for day, word in enumerate(counted)
            ]
            self.domains[key] = self.add(fits)
        return self.domains[key], self.spans[key]

    def _gang_tables(self, row: list[int], job: Job, way: Way, gang: Gang) -> None:
        members: list[int] = []
        for person in gang.people:
            rows = self.people[person]
            free = rows.free
            if job.pausing == "paused":
                free = rows.pause
            elif way.slides and rows.slide >= 0 and self._may_slide(person, way):
                free = rows.slide
            members += [person, free]
        groups = [
            x
            for hall in gang.halls
            for x in (hall.wanted, _word(hall.members), hall.needs, len(hall.members), self.add(hall.members))
        ]
        needs = [x for count, able in gang.needs for x in (count, _word(able))]
        row[e.K_PEOPLE], row[e.K_PEOPLE_COUNT] = self.add(members), len(gang.people)
        row[e.K_GROUPS], row[e.K_GROUP_COUNT] = self.add(groups), len(gang.halls)
        row[e.K_NEEDS], row[e.K_NEED_COUNT] = self.add(needs), len(gang.needs)
        self.most_units = max(self.most_units, *(hall.wanted for hall in gang.halls), 1)

    def _may_slide(self, person: int, way: Way) -> bool:
        """A job longer than somebody's shortest day never slides it: the day would grow."""
        spans = [word.bit_length() - (word & -word).bit_length() + 1 for word in self.normal[person] if word]
        return bool(spans) and way.duration_quarters <= min(spans)

    def _place_need(self, options: Sequence[tuple[int, int]]) -> list[list[int]]:
        """Rows of the alternatives that are large enough."""
        found = []
        for place, units in options:
            if place < 0:
                found.append([self.boat_rows[-1 - place], 1, 1, -1])
            elif self.problem.places[place].capacity >= units:
                shut = self.open_rows.get(place, -1)
                found.append([self.unit_rows[place], self.problem.places[place].capacity, units, shut])
                self.most_units = max(self.most_units, units)
        return found

    # waits
    def _links(self) -> None:
        g = self.g
        before: list[list[int]] = [[] for _ in self.problem.jobs]
        after: list[list[int]] = [[] for _ in self.problem.jobs]
        waits: dict[tuple[object, ...], tuple[int, int, int, int, int]] = {}
        for link in self.units.links:
            job = self.problem.jobs[link.before]
            elapsed = tuple(way.duration_quarters for way in job.ways) if job.pausing == "elapsed" else None
            allowance = job.allowance_quarters if link.min_wait is not None else 0
            key = (link.min_wait, link.max_wait, allowance, elapsed)
            if key not in waits:
                waits[key] = self._wait(*key)
            tables = waits[key]
            at = len(g)
            g.extend([link.before, link.after, *tables, int(elapsed is not None)])
            before[link.after].append(at)
            after[link.before].append(at)
        for number in range(len(self.problem.jobs)):
            at = g[e.JOB] + number * e.JOB_STRIDE
            g[at + e.J_BEFORE], g[at + e.J_BEFORE_COUNT] = self.add(before[number]), len(before[number])
            g[at + e.J_AFTER], g[at + e.J_AFTER_COUNT] = self.add(after[number]), len(after[number])

    def _wait(
        self, least: int | None, most: int | None, allowance: int, elapsed: tuple[int, ...] | None
    ) -> tuple[int, int, int, int, int]:
        """Offsets of the four tables (-1: none) and the distance of the next way's."""
        made = [self.axis.wait_tables(least, most, allowance, d) for d in (elapsed or (None,))]
        offsets = []
        for side in range(4):
            tables = [ways[side] for ways in made]
            joined = [x for table in tables if table is not None for x in table.tolist()]
            offsets.append(self.add(joined) if joined else -1)
        return offsets[0], offsets[1], offsets[2], offsets[3], self.axis.size if elapsed else 0

    # orders, units, stays
    def _orders(self) -> None:
        g, rates = self.g, self.problem.rates
        jobs: list[list[int]] = [[] for _ in self.problem.orders]
        for number, job in enumerate(self.problem.jobs):
            jobs[job.order].append(number)
        lists = [self.add(numbers) for numbers in jobs]
        g[e.ORDER] = self.space(len(jobs) * e.ORDER_STRIDE)
        dearest = 1
        for number, order in enumerate(self.problem.orders):
            at = g[e.ORDER] + number * e.ORDER_STRIDE
            g[at + e.O_DUE], g[at + e.O_LATE] = order.due_day, rates.late_day * order.goes_first
            g[at + e.O_FLOW] = rates.flow_day
            g[at + e.O_BEGAN] = e.FAR if order.began_day is None else order.began_day
            g[at + e.O_RELEASE] = self._release_day(jobs[number])
            g[at + e.O_JOBS], g[at + e.O_JOB_COUNT] = lists[number], len(jobs[number])
            days = self.axis.days + max(0, -order.due_day) + max(0, -(order.began_day or 0))
            dearest = max(dearest, 10 * self.axis.quarters * days * (g[at + e.O_LATE] + rates.flow_day))
        widest = max((len(orders) for orders in self.units.orders), default=1)
        g[e.LEFT_COST] = max(1 << 34, 1 << (4 * dearest * widest).bit_length())
        if g[e.LEFT_COST] * (len(self.units.jobs) + 1) >= 1 << 61:
            raise CannotExpress("costs too large for 64 bits: goes_first or the rates")

    def _release_day(self, jobs: list[int]) -> int:
        releases = [self.problem.jobs[job].not_before for job in jobs]
        if any(release is None for release in releases) or not jobs:
            return 0
        first = min(release for release in releases if release is not None)
        return min(self.axis.timeline.day_of_minute(first), self.axis.days - 1)

    def _units(self) -> None:
        g, units = self.g, self.units
        free = [[job for job in jobs if job not in self.pinned] for jobs in units.jobs]
        lists = [
            (self.add(jobs), self.add(o), self.add(f))
            for jobs, o, f in zip(free, units.orders, units.fronts, strict=True)
        ]
        g[e.UNIT] = self.space(len(free) * e.UNIT_STRIDE)
        for number, (jobs, orders, fronts) in enumerate(lists):
            at = g[e.UNIT] + number * e.UNIT_STRIDE
            g[at + e.U_JOBS], g[at + e.U_JOB_COUNT] = jobs, len(free[number])
            g[at + e.U_ORDERS], g[at + e.U_ORDER_COUNT] = orders, len(units.orders[number])
            g[at + e.U_FRONT], g[at + e.U_FRONT_COUNT] = fronts, len(units.fronts[number])
        live = [number for number, jobs in enumerate(free) if jobs]
        g[e.LIVE] = self.space(len(live))
        g[g[e.LIVE] : g[e.LIVE] + len(live)] = live
        g[e.LIVES] = len(live)
        g[e.LEVELS] = self.add(units.levels) if any(units.levels) else -1

    def _stays(self) -> None:
        g = self.g
        self.stay_places = sorted({place for stay in self.problem.stays for place in stay.any_of})
        number_of = {place: number for number, place in enumerate(self.stay_places)}
        begun: list[list[int]] = [[] for _ in self.problem.jobs]
        ended: list[list[int]] = [[] for _ in self.problem.jobs]
        lists = [self.add(number_of[place] for place in stay.any_of) for stay in self.problem.stays]
        g[e.STAY] = self.space(len(lists) * e.STAY_STRIDE)
        for number, stay in enumerate(self.problem.stays):
            at = g[e.STAY] + number * e.STAY_STRIDE
            g[at + e.N_FROM] = -1 if stay.from_job is None else stay.from_job
            g[at + e.N_UNTIL] = -1 if stay.until_job is None else stay.until_job
            g[at + e.N_COUNT], g[at + e.N_PLACES] = len(stay.any_of), lists[number]
            if stay.from_job is not None:
                begun[stay.from_job].append(number)
            if stay.until_job is not None:
                ended[stay.until_job].append(number)
        for job in range(len(self.problem.jobs)):
            at = g[e.JOB] + job * e.JOB_STRIDE
            g[at + e.J_FROM], g[at + e.J_FROM_COUNT] = self.add(begun[job]), len(begun[job])
            g[at + e.J_UNTIL], g[at + e.J_UNTIL_COUNT] = self.add(ended[job]), len(ended[job])

    def _tails(self) -> None:
        """The least quarters of the same order's work that must follow each job's end."""
        g, jobs = self.g, self.problem.jobs
        following: dict[int, list[Link]] = {}
        for link in self.units.links:
            waits = link.min_wait is not None and link.min_wait >= 0
            if waits and jobs[link.before].order == jobs[link.after].order and link.after not in self.pinned:
                following.setdefault(link.before, []).append(link)
        shortest = [1 if job.pausing == "elapsed" else min(way.duration_quarters for way in job.ways) for job in jobs]
        tails = [0] * len(jobs)
        for unit in self.units.jobs:
            for job in reversed(unit):
                tails[job] = max(
                    (tails[link.after] + shortest[link.after] for link in following.get(job, ())), default=0
                )
                g[g[e.JOB] + job * e.JOB_STRIDE + e.J_TAIL] = tails[job]

    # the state's offsets
    def _state(self) -> int:
        g, jobs, stays, units = self.g, len(self.problem.jobs), len(self.problem.stays), len(self.units.jobs)
        g[e.HELD_STRIDE] = e.H_ROWS + self.hold_rows
        sizes = {
            e.FREE: self.axis.days * self.rows,
            e.NIGHTS: len(self.stay_places) * self.axis.days,
            **dict.fromkeys((e.HELD, e.SAVED, e.BEST, e.TRIED), jobs * g[e.HELD_STRIDE]),
            **dict.fromkeys((e.BERTH, e.BERTH_SAVED, e.BERTH_BEST, e.BERTH_TRIED), stays),
            e.COST: units * e.COST_STRIDE,
            **dict.fromkeys((e.PENDING, e.MOVABLE, e.FLOOR, e.CEILING, e.QUEUE, e.POSITION, e.REMOVED), jobs),
            e.CAP: len(self.problem.orders),
            e.RUNS: 64,
            e.COUNTERS: self.most_units + 1,
            **dict.fromkeys((e.CHOSEN, e.REMOVED_COUNT, e.SORT_KEY, e.ORDER_IN), 8),
            e.SLID: self.slid_counters,
        }
        at = e.REGISTERS
        for name, size in sizes.items():
            g[name] = at
            at += size
        return at


def _reached(after: dict[int, set[int]], job: int) -> set[int]:
    seen: set[int] = set()
    rest = [job]
    while rest:
        fresh = after.get(rest.pop(), set()) - seen
        seen |= fresh
        rest += fresh
    return seen


def _word(members: Iterable[int]) -> int:
    return sum(1 << member for member in members)


def _slid_hours(day_start: int, normal: int, early_min: int, late_min: int) -> list[tuple[int, int]]:
    """Normal hours of a day as clock intervals, with the slide before the first and after the last."""
    first, last = (normal & -normal).bit_length() - 1, normal.bit_length()
    inside = [
        (day_start + 15 * quarter, day_start + 15 * (quarter + 1))
        for quarter in range(first, last)
        if normal >> quarter & 1
    ]
    opens, closes = day_start + 15 * first, day_start + 15 * last
    return [(opens - early_min, opens), *inside, (closes, closes + late_min)]


def _minus_logs() -> list[int]:
    """256 times -ln(u) for the 4,096 middles of equal parts of (0, 1)."""
    return [round(-256 * math.log((2 * i + 1) / (2 * LOGS))) for i in range(LOGS)]
