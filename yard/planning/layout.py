"""A Problem as the engine's flat tables: `compile_problem` gives a Layout; `state` makes and reads engine states."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from yard.planning import engine as e
from yard.planning.axis import Axis
from yard.planning.ground import Ground, lay_out
from yard.planning.modes import Mode, ModeMaker
from yard.planning.problem import Link, Problem
from yard.planning.roster import Roster, enrol
from yard.planning.spent import lay_out_spent
from yard.planning.tables import Tables
from yard.planning.units import CannotExpress, Units, group

LOGS = 4096


@dataclass(frozen=True, slots=True)
class Layout:
    """The tables `G` and what is needed to turn a plan into a state and back.

    modes: by offset in `g`.  stay_places: places that hold stays, in the engine's order.
    """

    problem: Problem
    axis: Axis
    units: Units
    g: list[int]
    modes: dict[int, Mode]
    roster: Roster
    ground: Ground
    stay_places: list[int]
    state_size: int

    def place_of_row(self, row: int) -> tuple[int, int]:
        """(place, unit) of a row."""
        for place, first in enumerate(self.ground.unit_rows):
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
    """Writes the tables one after the other: rows first, then jobs, then what refers to them."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.axis = Axis(problem.calendar, problem.forecast_until)
        self.units = group(problem)
        self.tables = Tables()
        self.g = self.tables.g
        self.pinned = {pin.job for pin in problem.pins}
        self.ground = lay_out(problem, self.axis, self.units, self.tables)
        self.roster = enrol(problem, self.axis, self.tables)
        self.ground.spent.update(lay_out_spent(problem, self.axis, self.tables))
        self.maker = ModeMaker(problem, self.axis, self.tables, self.roster, self.ground)

    def build(self) -> Layout:
        g, axis, problem = self.g, self.axis, self.problem
        g[e.SHIFT], g[e.QUARTERS], g[e.DAYS], g[e.FULL] = axis.shift, axis.quarters, axis.days, axis.full
        g[e.JOBS], g[e.UNITS], g[e.ORDERS] = len(problem.jobs), len(self.units.jobs), len(problem.orders)
        g[e.PEOPLE], g[e.STAYS], g[e.ROWS] = len(problem.people), len(problem.stays), self.tables.rows
        g[e.CHARGED] = self.ground.first_spent(self.tables.rows)
        self._jobs()
        self._links()
        self._orders()
        self._units()
        stay_places = self._stays()
        self._tails()
        g[e.LOGS] = self.tables.add(_minus_logs())
        size = self._state(len(stay_places))
        return Layout(problem, axis, self.units, g, self.maker.modes, self.roster, self.ground, stay_places, size)

    def _jobs(self) -> None:
        g = self.g
        g[e.JOB] = self.tables.space(len(self.problem.jobs) * e.JOB_STRIDE)
        for number, job in enumerate(self.problem.jobs):
            at = g[e.JOB] + number * e.JOB_STRIDE
            g[at + e.J_MODES], g[at + e.J_MODE_COUNT] = self.maker.write(number)
            g[at + e.J_ORDER], g[at + e.J_UNIT] = job.order, self.units.unit_of[job.boat]
            g[at + e.J_PINNED], g[at + e.J_ELAPSED] = int(number in self.pinned), int(job.pausing == "elapsed")

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
            at = len(g)
            g.extend([link.before, link.after, *waits[key], int(elapsed is not None)])
            before[link.after].append(at)
            after[link.before].append(at)
        for number in range(len(self.problem.jobs)):
            at = g[e.JOB] + number * e.JOB_STRIDE
            g[at + e.J_BEFORE], g[at + e.J_BEFORE_COUNT] = self.tables.add(before[number]), len(before[number])
            g[at + e.J_AFTER], g[at + e.J_AFTER_COUNT] = self.tables.add(after[number]), len(after[number])

    def _wait(
        self, least: int | None, most: int | None, allowance: int, elapsed: tuple[int, ...] | None
    ) -> tuple[int, int, int, int, int]:
        """Offsets of the four tables (-1: none) and the distance of the next way's."""
        made = [self.axis.wait_tables(least, most, allowance, d) for d in (elapsed or (None,))]
        offsets = []
        for side in range(4):
            tables = [ways[side] for ways in made]
            joined = [table for table in tables if table is not None]
            offsets.append(self.tables.add(np.concatenate(joined)) if joined else -1)
        return offsets[0], offsets[1], offsets[2], offsets[3], self.axis.size if elapsed else 0

    def _orders(self) -> None:
        g, rates = self.g, self.problem.rates
        jobs: list[list[int]] = [[] for _ in self.problem.orders]
        for number, job in enumerate(self.problem.jobs):
            jobs[job.order].append(number)
        lists = [self.tables.add(numbers) for numbers in jobs]
        g[e.ORDER] = self.tables.space(len(jobs) * e.ORDER_STRIDE)
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
            (self.tables.add(jobs), self.tables.add(o), self.tables.add(f))
            for jobs, o, f in zip(free, units.orders, units.fronts, strict=True)
        ]
        g[e.UNIT] = self.tables.space(len(free) * e.UNIT_STRIDE)
        for number, (jobs, orders, fronts) in enumerate(lists):
            at = g[e.UNIT] + number * e.UNIT_STRIDE
            g[at + e.U_JOBS], g[at + e.U_JOB_COUNT] = jobs, len(free[number])
            g[at + e.U_ORDERS], g[at + e.U_ORDER_COUNT] = orders, len(units.orders[number])
            g[at + e.U_FRONT], g[at + e.U_FRONT_COUNT] = fronts, len(units.fronts[number])
        live = [number for number, jobs in enumerate(free) if jobs]
        g[e.LIVE] = self.tables.space(len(live))
        g[g[e.LIVE] : g[e.LIVE] + len(live)] = live
        g[e.LIVES] = len(live)
        g[e.LEVELS] = self.tables.add(units.levels) if any(units.levels) else -1

    def _stays(self) -> list[int]:
        """Gives the places that hold stays."""
        g = self.g
        stay_places = sorted({place for stay in self.problem.stays for place in stay.any_of})
        number_of = {place: number for number, place in enumerate(stay_places)}
        begun: list[list[int]] = [[] for _ in self.problem.jobs]
        ended: list[list[int]] = [[] for _ in self.problem.jobs]
        lists = [self.tables.add(number_of[place] for place in stay.any_of) for stay in self.problem.stays]
        g[e.STAY] = self.tables.space(len(lists) * e.STAY_STRIDE)
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
            g[at + e.J_FROM], g[at + e.J_FROM_COUNT] = self.tables.add(begun[job]), len(begun[job])
            g[at + e.J_UNTIL], g[at + e.J_UNTIL_COUNT] = self.tables.add(ended[job]), len(ended[job])
        return stay_places

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

    def _state(self, stay_places: int) -> int:
        """Give every part of the state its offset; gives the size of all."""
        g, jobs, stays, units = self.g, len(self.problem.jobs), len(self.problem.stays), len(self.units.jobs)
        g[e.HELD_STRIDE] = e.H_ROWS + self.maker.hold_rows
        sizes = {
            e.FREE: self.axis.days * self.tables.rows,
            e.NIGHTS: stay_places * self.axis.days,
            **dict.fromkeys((e.HELD, e.SAVED, e.BEST, e.TRIED), jobs * g[e.HELD_STRIDE]),
            **dict.fromkeys((e.BERTH, e.BERTH_SAVED, e.BERTH_BEST, e.BERTH_TRIED), stays),
            e.COST: units * e.COST_STRIDE,
            **dict.fromkeys((e.PENDING, e.MOVABLE, e.FLOOR, e.CEILING, e.QUEUE, e.POSITION, e.REMOVED), jobs),
            e.CAP: len(self.problem.orders),
            e.RUNS: 64,
            e.COUNTERS: self.maker.most_units + 1,
            **dict.fromkeys((e.CHOSEN, e.REMOVED_COUNT, e.SORT_KEY, e.ORDER_IN), 8),
            e.SLID: self.roster.slid_counters,
        }
        at = e.REGISTERS
        for name, size in sizes.items():
            g[name] = at
            at += size
        return at


@cache
def _minus_logs() -> tuple[int, ...]:
    """256 times -ln(u) for the 4,096 middles of equal parts of (0, 1)."""
    return tuple(round(-256 * math.log((2 * i + 1) / (2 * LOGS))) for i in range(LOGS))
