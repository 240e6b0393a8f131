"""The model while it is built: what the rules narrow and tie together."""

from __future__ import annotations

import typing
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from yard.planning.cpsat.axis import Axis, count_before, domain, positions
from yard.planning.cutoff import Cutoff
from yard.planning.problem import QUARTER_MIN, Job, Pin, Problem, Way

Expr = cp_model.LinearExpr | int
Literal = cp_model.LiteralT
Edge = typing.Literal["start", "end"]


@dataclass(slots=True)
class Mode:
    """One way of doing one job; of a paused job, one way with people of one set of working hours.

    starts: mask of possible starts, narrowed by the rules before any variable exists.
    size: axis positions taken where that is a constant, else None and `ends` has the end for each start.
    counted: mask of the quarters that a paused job counts.
    hours_groups: of each group at least one person must come, or the hours would be other ones.
    candidates: for each need of the crew, the people who may fill it.
    spots: for each need of a place, the places that may.
    chosen, booked, taken: literals for (need, person), for person, for (need, place).
    """

    job: int
    way_index: int
    way: Way
    starts: int
    size: int | None
    ends: dict[int, int] = field(default_factory=dict)
    counted: int = 0
    hours_groups: tuple[tuple[int, ...], ...] = ()
    candidates: list[list[int]] = field(default_factory=list)
    spots: list[list[int]] = field(default_factory=list)
    literal: Literal = True
    end: Expr = 0
    chosen: dict[tuple[int, int], cp_model.IntVar] = field(default_factory=dict)
    booked: dict[int, cp_model.IntVar] = field(default_factory=dict)
    taken: dict[tuple[int, int], Literal] = field(default_factory=dict)

    def end_of(self, start: int) -> int:
        return self.ends[start] if self.size is None else start + self.size


@dataclass(slots=True)
class JobVars:
    """A job in the model; a pinned one has constants and no modes."""

    index: int
    job: Job
    pin: Pin | None
    modes: list[Mode]
    present: Literal = True
    start: Expr = 0
    end: Expr = 0

    @property
    def duration(self) -> Expr:
        """Quarters of work (clock quarters of an elapsed job)."""
        lengths = {mode.way.duration_quarters for mode in self.modes}
        if self.pin is not None:
            return self.job.ways[self.pin.way].duration_quarters
        if len(lengths) == 1:
            return lengths.pop()
        terms = [mode.way.duration_quarters * as_expr(mode.literal) for mode in self.modes]
        return cp_model.LinearExpr.sum(terms)


def as_expr(literal: Literal) -> cp_model.LinearExpr | int:
    return literal if isinstance(literal, cp_model.LinearExpr) else int(literal)


class Season:
    """Problem, axis, model and the variables of each job."""

    def __init__(self, problem: Problem, *, may_leave_out: bool, cutoff: Cutoff | None = None) -> None:
        self.problem = problem
        self.cutoff = cutoff
        self.may_leave_out = may_leave_out
        self.axis = Axis(problem.calendar)
        self.model = cp_model.CpModel()
        pins = {pin.job: pin for pin in problem.pins}
        self.jobs = [JobVars(index, job, pins.get(index), []) for index, job in enumerate(problem.jobs)]
        self.unpinned = [row for row in self.jobs if row.pin is None]
        self.boat_present: dict[int, cp_model.IntVar] = {}
        self.stay_spots: dict[tuple[int, int], Literal] = {}
        self.unit_spots: dict[tuple[int, int, int, int, int], cp_model.IntVar] = {}
        self._days: dict[tuple[int, str], Expr] = {}
        self._minutes: dict[tuple[int, str], Expr] = {}
        self._on_day: dict[tuple[int, Edge], dict[int, cp_model.IntVar]] = {}

    # Before the variables

    def clear_of(self, mode: Mode, bad: int) -> int:
        """The starts of this mode for which no position of [start, end) is in `bad`."""
        axis = self.axis
        if not bad:
            return mode.starts
        if mode.size is not None:
            return mode.starts & axis.runs(axis.full & ~bad, mode.size)
        before = count_before(bad, axis.size)
        return sum(1 << start for start in positions(mode.starts) if before[mode.ends[start]] == before[start])

    def make_variables(self) -> None:
        """Starts and modes. Afterwards no mask may be narrowed."""
        for row in self.jobs:
            if row.pin is not None:
                continue
            row.modes = [mode for mode in row.modes if mode.starts]
            row.present = self._present(row.job.boat)
            union = 0
            for mode in row.modes:
                union |= mode.starts
            row.start = self.model.new_int_var_from_domain(domain(union or 1), f"start {row.index}")
            for number, mode in enumerate(row.modes):
                alone = len(row.modes) == 1
                mode.literal = row.present if alone else self.model.new_bool_var(f"mode {row.index} {number}")
                if mode.starts != union:
                    self.within(row.start, mode.starts, mode.literal)

    def _present(self, boat: int) -> Literal:
        if not self.may_leave_out:
            return True
        if boat not in self.boat_present:
            self.boat_present[boat] = self.model.new_bool_var(f"boat {boat} is planned")
        return self.boat_present[boat]

    # With the variables

    def when(self, constraint: cp_model.Constraint, *literals: Literal) -> None:
        """Post only where all the literals hold."""
        variable = [literal for literal in literals if not isinstance(literal, bool)]
        if variable:
            constraint.only_enforce_if(variable)

    def within(self, position: Expr, mask: int, *literals: Literal) -> None:
        """The position belongs to the mask where all the literals hold (so not all can hold for an empty mask)."""
        if mask:
            self.when(self.model.add_linear_expression_in_domain(position, domain(mask)), *literals)
        else:
            self.model.add_bool_or([~literal for literal in literals if not isinstance(literal, bool)])

    def on_day(self, row: JobVars, edge: Edge) -> dict[int, cp_model.IntVar]:
        """For each day on which the job can start (or end): a literal that it does."""
        if (row.index, edge) not in self._on_day:
            day = self.start_day(row) if edge == "start" else self.end_day(row)
            days: set[int] = set()
            for mode in row.modes:
                for start in positions(mode.starts):
                    days.add((start if edge == "start" else mode.end_of(start) - 1) // self.axis.per_day)
            literals = {}
            for number in sorted(days):
                literals[number] = self.model.new_bool_var(f"job {row.index} {edge}s on day {number}")
                self.when(self.model.add(day == number), literals[number])
            self.model.add_exactly_one(literals.values())
            self._on_day[row.index, edge] = literals
        return self._on_day[row.index, edge]

    def interval(self, start: Expr, end: Expr, name: str, *literals: Literal) -> cp_model.IntervalVar:
        """[start, end), there only where the literal holds (at most one that varies)."""
        constant = self.size_between(start, end)
        size: Expr = self.model.new_int_var(0, self.axis.size, f"size of {name}") if constant is None else constant
        variable = [literal for literal in literals if not isinstance(literal, bool)]
        if variable:
            return self.model.new_optional_interval_var(start, size, end, variable[0], name)
        return self.model.new_interval_var(start, size, end, name)

    @staticmethod
    def size_between(start: Expr, end: Expr) -> int | None:
        """end - start where that is a constant."""
        difference = end - start
        if isinstance(difference, int):
            return difference
        flat = cp_model.FlatIntExpr(difference)
        return None if any(flat.coeffs) else flat.offset

    def fixed(self, starts: int, ends: int, name: str) -> cp_model.IntervalVar:
        return self.model.new_fixed_size_interval_var(starts, ends - starts, name)

    def start_day(self, row: JobVars) -> Expr:
        if (row.index, "start") not in self._days:
            self._days[row.index, "start"] = self._day(row.start, f"start day {row.index}")
        return self._days[row.index, "start"]

    def end_day(self, row: JobVars) -> Expr:
        """The day of the last quarter."""
        if row.job.pausing == "fitted" and row.pin is None:
            return self.start_day(row)
        if (row.index, "end") not in self._days:
            self._days[row.index, "end"] = self._day(row.end - 1, f"end day {row.index}")
        return self._days[row.index, "end"]

    def _day(self, position: Expr, name: str) -> Expr:
        per_day = self.axis.per_day
        if isinstance(position, int):
            return position // per_day
        if per_day == 1:
            return position
        day = self.model.new_int_var(0, self.axis.days - 1, name)
        self.model.add_linear_constraint(position - per_day * day, 0, per_day - 1)
        return day

    def start_minute(self, row: JobVars) -> Expr:
        """The clock minute at which the job starts."""
        if (row.index, "start") not in self._minutes:
            self._minutes[row.index, "start"] = self._minute(row.start, self.start_day, row)
        return self._minutes[row.index, "start"]

    def bare_end_minute(self, row: JobVars) -> Expr:
        """The clock minute at which the work itself is over."""
        if row.job.pausing == "elapsed" or (row.job.pausing == "fitted" and row.pin is None):
            return self.start_minute(row) + QUARTER_MIN * row.duration
        if (row.index, "end") not in self._minutes:
            self._minutes[row.index, "end"] = self._minute(row.end - 1, self.end_day, row) + QUARTER_MIN
        return self._minutes[row.index, "end"]

    def _minute(self, position: Expr, day_of: Callable[[JobVars], Expr], row: JobVars) -> Expr:
        """15 x position + what the nights before its day take out of the axis."""
        axis = self.axis
        if isinstance(position, int):
            return axis.timeline.minute_at(position)
        nights = [start - QUARTER_MIN * axis.per_day * day for day, start in enumerate(axis.day_starts)]
        if len(set(nights)) == 1:
            return QUARTER_MIN * position + nights[0]
        night = self.element(day_of(row), nights, f"nights {row.index}")
        return QUARTER_MIN * position + night

    def element(self, index: Expr, table: Sequence[int], name: str) -> cp_model.IntVar:
        """A variable equal to table[index]."""
        target = self.model.new_int_var_from_domain(cp_model.Domain.from_values(sorted(set(table))), name)
        self.model.add_element(index, list(table), target)
        return target


def merged(spans: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Overlapping spans made one: pinned jobs may overlap, and what they hold is held once."""
    joined: list[tuple[int, int]] = []
    for starts, ends in sorted(spans):
        if joined and starts < joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], ends))
        else:
            joined.append((starts, ends))
    return joined
