"""The ways of doing a job as the engine's modes: people of one class of hours, places that do not contend."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import reduce
from itertools import product
from operator import and_

from yard.planning import engine as e
from yard.planning.axis import Axis, SpanTables
from yard.planning.crews import Gang, gang_for, mixes
from yard.planning.ground import Ground
from yard.planning.problem import Crew, Job, Problem, Way
from yard.planning.roster import Roster
from yard.planning.tables import Tables

PlaceChoice = list[tuple[int, list[tuple[int, int]], list[int]]]
"""The place needs of a mode: whether the place stays taken for the extra quarters, [(place, or -1 - boat; units)],
the numbers of the way's needs that it serves.  What a place runs on is a need of its own: SPENT, [(place, quarters)],
and no numbers."""
SPENT = 2


@dataclass(slots=True)
class Mode:
    """A way done by people of one class of hours, at places that do not contend with one another.

    row: its offset in the engine's tables.
    takes: for each place need of the way, in order: (place need of the mode, how many of its units).
    """

    job: int
    way: int
    gang: Gang
    row: int = -1
    takes: tuple[tuple[int, int], ...] = ()


class ModeMaker:
    """Writes the modes of one job after the other. `hold_rows`: most rows a job can hold; `most_units`: at once."""

    def __init__(self, problem: Problem, axis: Axis, tables: Tables, roster: Roster, ground: Ground) -> None:
        self.problem, self.axis, self.tables, self.roster, self.ground = problem, axis, tables, roster, ground
        self.modes: dict[int, Mode] = {}
        self.hold_rows = 0
        self.most_units = 1
        self._pins = {pin.job: pin for pin in problem.pins}
        self._spans: dict[tuple[object, ...], tuple[int, int, int]] = {}
        self._domains: dict[tuple[object, ...], int] = {}
        self._known_gangs: dict[tuple[bool, tuple[Crew, ...]], list[tuple[Gang, list[int]]]] = {}
        self._known_people: dict[tuple[object, ...], list[int]] = {}

    def write(self, number: int) -> tuple[int, int]:
        """Append the modes of a job; gives the offset of the first and their number."""
        job = self.problem.jobs[number]
        modes: list[tuple[Mode, list[int]]] = []
        pin = self._pins.get(number)
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
        first = len(self.tables.g)
        for mode, row in modes:
            mode.row = len(self.tables.g)
            self.modes[mode.row] = mode
            self.tables.g.extend(row)
        return first, len(modes)

    def _bare_mode(self, number: int, job: Job, index: int, way: Way) -> tuple[Mode, list[int]]:
        """A pinned job's mode: only read for its way and its tables."""
        row = [0] * e.MODE_STRIDE
        row[e.K_SPAN], row[e.K_LENGTH], row[e.K_WAY] = int(job.pausing != "fitted"), way.duration_quarters, index
        row[e.K_EXTRA] = way.place_extra_quarters
        return Mode(number, index, Gang((), (), (), ())), row

    def _gangs(self, job: Job, way: Way) -> list[tuple[Gang, list[int]]]:
        """Each gang with the quarters that count: for a job that pauses, the hours of all of its people."""
        key = (job.pausing == "paused", way.crew)
        if key not in self._known_gangs:
            self._known_gangs[key] = self._find_gangs(job, way)
        return self._known_gangs[key]

    def _find_gangs(self, job: Job, way: Way) -> list[tuple[Gang, list[int]]]:
        everybody = tuple(range(len(self.problem.people)))
        if job.pausing != "paused" or not way.crew:
            gang = gang_for([(need, everybody) for need in way.crew], self.problem.people)
            return [] if gang is None else [(gang, [self.axis.full] * self.axis.days)]
        classes: dict[tuple[int, ...], list[int]] = {}
        for person in everybody:
            classes.setdefault(tuple(self.roster.normal[person]), []).append(person)
        hours = list(classes)
        found: list[tuple[Gang, list[int]]] = []
        for parts, used in mixes(way.crew, [tuple(people) for people in classes.values()]):
            gang = gang_for(parts, self.problem.people)
            if gang is not None:
                days = zip(*(hours[number] for number in used), strict=True)
                found.append((gang, [reduce(and_, words) for words in days]))
        return found

    def _place_choices(self, job: Job, way: Way) -> list[PlaceChoice]:
        needs = way.places
        boat: PlaceChoice = []
        if job.needs_boat and job.boat in self.ground.boat_rows:
            boat = [(0, [(-1 - job.boat, 1)], [])]
        named = [place for need in needs for place in set(need.any_of)]
        if len(set(named)) == len(named) and not any(place in self.ground.spent for place in named):
            return [[(1, [(p, need.units) for p in need.any_of], [number]) for number, need in enumerate(needs)] + boat]
        choices = []
        for chosen in product(*(need.any_of for need in needs)):
            by_place: dict[int, list[int]] = {}
            for number, place in enumerate(chosen):
                by_place.setdefault(place, []).append(number)
            taken: PlaceChoice = [
                (1, [(p, sum(needs[n].units for n in numbers))], numbers) for p, numbers in by_place.items()
            ]
            spent: PlaceChoice = [
                (SPENT, [(options[0][0], options[0][1] * way.duration_quarters)], [])
                for _extra, options, _numbers in taken
                if options[0][0] in self.ground.spent
            ]
            choices.append(taken + spent + boat)
        return choices

    def _mode(
        self,
        number: int,
        job: Job,
        index: int,
        way: Way,
        gang: Gang,
        counted: list[int],
        places: PlaceChoice,
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
        needs = [table for extra, options, _n in places if (table := self._place_need(extra, options))]
        if len(needs) < len(places):
            return None  # no such place is large enough
        tables = [
            (min(extra, 1), len(options), self.tables.add(x for o in options for x in o))
            for (extra, _o, _n), options in zip(places, needs, strict=True)
        ]
        row[e.K_PLACES], row[e.K_PLACE_COUNT] = self.tables.add(x for table in tables for x in table), len(tables)
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
        if key not in self._domains:
            pairs = [(self.problem.window_sets[inside.window_set], inside) for inside in way.inside]
            self._domains[key] = self.tables.add(self.axis.start_words(way.duration_quarters, pairs))
        return self._domains[key]

    def _span(self, job: Job, way: Way, counted: list[int]) -> tuple[int, tuple[int, int, int]]:
        axis, duration, extra = self.axis, way.duration_quarters, way.place_extra_quarters
        key = (job.pausing, duration, extra, tuple(counted))
        if key not in self._spans:
            elapsed = job.pausing == "elapsed"
            ends = axis.elapsed_ends(duration) if elapsed else axis.paused_ends(counted, duration)
            tables: SpanTables = axis.span_tables(ends, extra)
            self._spans[key] = (
                self.tables.add(tables.end),
                self.tables.add(tables.last),
                self.tables.add(tables.last_hold),
            )
            self._domains[key] = self.tables.add(axis.ending(counted, ends))
        return self._domains[key], self._spans[key]

    def _gang_tables(self, row: list[int], job: Job, way: Way, gang: Gang) -> None:
        key = (gang, job.pausing == "paused", way.duration_quarters if way.slides else None)
        if key not in self._known_people:
            self._known_people[key] = self._tables_of(job, way, gang)
        row[e.K_PEOPLE], row[e.K_GROUPS], row[e.K_NEEDS] = self._known_people[key]
        row[e.K_PEOPLE_COUNT], row[e.K_GROUP_COUNT], row[e.K_NEED_COUNT] = (
            len(gang.people),
            len(gang.halls),
            len(gang.needs),
        )
        self.most_units = max(self.most_units, *(hall.wanted for hall in gang.halls), 1)

    def _tables_of(self, job: Job, way: Way, gang: Gang) -> list[int]:
        """Offsets of the gang's members with their rows, of its groups and of its needs."""
        members: list[int] = []
        for person in gang.people:
            rows = self.roster.people[person]
            free = rows.free
            if job.pausing == "paused":
                free = rows.pause
            elif way.slides and rows.slide >= 0 and self._may_slide(person, way):
                free = rows.slide
            members += [person, free]
        groups = [
            x
            for hall in gang.halls
            for x in (hall.wanted, _word(hall.members), hall.needs, len(hall.members), self.tables.add(hall.members))
        ]
        needs = [x for count, able in gang.needs for x in (count, _word(able))]
        return [self.tables.add(members), self.tables.add(groups), self.tables.add(needs)]

    def _may_slide(self, person: int, way: Way) -> bool:
        """A job longer than somebody's shortest day never slides it: the day would grow."""
        spans = [word.bit_length() - (word & -word).bit_length() + 1 for word in self.roster.normal[person] if word]
        return bool(spans) and way.duration_quarters <= min(spans)

    def _place_need(self, extra: int, options: Sequence[tuple[int, int]]) -> list[list[int]]:
        """Rows of the alternatives that are large enough."""
        if extra == SPENT:
            return self._spent_need(*options[0])
        found = []
        for place, units in options:
            if place < 0:
                found.append([self.ground.boat_rows[-1 - place], 1, 1, -1])
            elif self.problem.places[place].capacity >= units:
                shut = self.ground.open_rows.get(place, -1)
                found.append([self.ground.unit_rows[place], self.problem.places[place].capacity, units, shut])
                self.most_units = max(self.most_units, units)
        return found

    def _spent_need(self, place: int, quarters: int) -> list[list[int]]:
        """Rows of each charge of a day that lasts so long; all of the job lies on it."""
        turns = [turn for turn in self.ground.spent[place] if turn.most >= quarters]
        self.most_units = max(self.most_units, quarters if turns else 0)
        return [[turn.first, turn.most, quarters, turn.open_row] for turn in turns]


def _word(members: Iterable[int]) -> int:
    return sum(1 << member for member in members)
