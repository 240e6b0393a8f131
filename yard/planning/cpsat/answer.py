"""From the solver's values to a plan that names people, places, units and stays."""

from __future__ import annotations

from ortools.sat.python import cp_model

from yard.planning.cpsat import pins, places
from yard.planning.cpsat.season import Expr, JobVars, Literal, Mode, Season
from yard.planning.plan import LeftOut, Placement, Plan, StayAt
from yard.speech import _

Span = tuple[int, int]


class Answer:
    """Reads one solution."""

    def __init__(self, season: Season, solver: cp_model.CpSolver) -> None:
        self.season = season
        self.solver = solver

    def plan(self) -> Plan:
        """Raises LookupError where a unit cannot be named, which would be an error of the model."""
        left_out = {boat for boat, present in self.season.boat_present.items() if not self._holds(present)}
        rows = [row for row in self.season.unpinned if row.job.boat not in left_out]
        modes = {row.index: self._mode(row) for row in rows}
        units = self._name_units(rows, modes)
        placed = [
            Placement(
                job=row.index,
                way=modes[row.index].way_index,
                starts_at=self._value(row.start),
                ends_at=self._value(row.end),
                people=self._people(modes[row.index]),
                places=units[row.index],
            )
            for row in rows
        ]
        return Plan(
            placements=tuple(sorted(placed + pins.placements(self.season), key=lambda placement: placement.job)),
            stays=self._stays(left_out),
            left_out=tuple(
                LeftOut(boat=boat, rule="complete", job=None, reason=_("no plan was found that places her as well"))
                for boat in sorted(left_out)
            ),
        )

    def _value(self, expression: Expr) -> int:
        return int(self.solver.value(expression))

    def _holds(self, literal: Literal) -> bool:
        return literal if isinstance(literal, bool) else bool(self.solver.boolean_value(literal))

    def _mode(self, row: JobVars) -> Mode:
        return next(mode for mode in row.modes if self._holds(mode.literal))

    def _people(self, mode: Mode) -> tuple[int, ...]:
        return tuple(
            person
            for need, people in enumerate(mode.candidates)
            for person in people
            if self._holds(mode.chosen[need, person])
        )

    def _name_units(self, rows: list[JobVars], modes: dict[int, Mode]) -> dict[int, tuple[tuple[int, int], ...]]:
        """In order of their starts, each job takes the first units that are free."""
        busy: dict[tuple[int, int], list[Span]] = {}
        for place, row in enumerate(self.season.problem.places):
            pinned = places.pinned_units(self.season, place)
            for unit in range(row.capacity):
                busy[place, unit] = list(pinned.get(unit, []))
        named: dict[int, tuple[tuple[int, int], ...]] = {}
        for job in sorted(rows, key=lambda row: (self._value(row.start), row.index)):
            mode = modes[job.index]
            held: list[tuple[int, int]] = []
            for need, wanted in enumerate(mode.way.places):
                place = next(at for at in mode.spots[need] if self._holds(mode.taken.get((need, at), False)))
                span = (self._value(job.start), self._held_until(job, mode))
                free = self._free_units(job, mode, need, place, busy, span)
                if len(free) < wanted.units:
                    raise LookupError(f"no unit of place {place} is left for job {job.index}")
                for unit in free[: wanted.units]:
                    busy[place, unit].append(span)
                    held.append((place, unit))
            named[job.index] = tuple(held)
        return named

    def _held_until(self, job: JobVars, mode: Mode) -> int:
        per_day, ends = self.season.axis.per_day, self._value(job.end)
        return min(ends + mode.way.place_extra_quarters, ((ends - 1) // per_day + 1) * per_day)

    def _free_units(
        self,
        job: JobVars,
        mode: Mode,
        need: int,
        place: int,
        busy: dict[tuple[int, int], list[Span]],
        span: Span,
    ) -> list[int]:
        units = range(self.season.problem.places[place].capacity)
        if places.named_units_matter(self.season, place):
            number = job.modes.index(mode)
            spots = self.season.unit_spots
            return [unit for unit in units if self._holds(spots[job.index, number, need, place, unit])]
        return [
            unit for unit in units if all(ends <= span[0] or span[1] <= starts for starts, ends in busy[place, unit])
        ]

    def _stays(self, left_out: set[int]) -> tuple[StayAt, ...]:
        """In order of their first nights, each stay takes the first unit that is free."""
        problem, jobs = self.season.problem, self.season.jobs
        spans: list[tuple[int, int, int]] = []
        for index, stay in enumerate(problem.stays):
            ends = [jobs[job] for job in (stay.from_job, stay.until_job) if job is not None]
            if any(row.pin is None and row.job.boat in left_out for row in ends):
                continue
            per_day = self.season.axis.per_day
            first = 0 if stay.from_job is None else (self._value(jobs[stay.from_job].end) - 1) // per_day
            stop = self.season.axis.days
            if stay.until_job is not None:
                stop = self._value(jobs[stay.until_job].start) // per_day
            spans.append((first, stop, index))
        busy: dict[tuple[int, int], int] = {}
        found = []
        for first, stop, index in sorted(spans):
            place = next(at for at in problem.stays[index].any_of if self._holds(self.season.stay_spots[index, at]))
            units = range(problem.places[place].capacity)
            unit = next((unit for unit in units if busy.get((place, unit), 0) <= first), None)
            if first >= stop:
                unit = 0
            elif unit is None:
                raise LookupError(f"no unit of place {place} is left for stay {index}")
            else:
                busy[place, unit] = stop
            found.append(StayAt(stay=index, place=place, unit=unit))
        return tuple(sorted(found, key=lambda row: row.stay))
