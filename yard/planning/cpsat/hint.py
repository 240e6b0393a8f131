"""A plan as a hint: complete or none at all, since a partial hint costs the solver seconds."""

from __future__ import annotations

from ortools.sat.python import cp_model

from yard.planning.cpsat.season import JobVars, Literal, Mode, Season
from yard.planning.plan import Placement, Plan

Values = dict[int, int]

SYMMETRY_LEVEL = 0
"""Release 9.15 looks for symmetries in presolve and then dies of `raw_hash_map::at` on some infeasible models of two
jobs and two equal people; without it the published instances take as long (tests/planning/test_published.py)."""


def decisions(season: Season, plan: Plan) -> Values | None:
    """The value of every decision (starts, ways, people, places), by index of its variable; the rest follows.

    None where the plan cannot be told in the model's terms: a job missing, or somewhere the rules do not allow.
    """
    placed = plan.by_job()
    out = {row.boat for row in plan.left_out}
    values: Values = {}
    for boat, present in season.boat_present.items():
        values[present.index] = int(boat not in out)
    for row in season.unpinned:
        placement = placed.get(row.index)
        if placement is None:
            if row.job.boat not in out or isinstance(row.present, bool):
                return None
            _absent(row, values, season)
            continue
        mode = _mode_of(season, row, placement)
        if mode is None:
            return None
        _present(season, row, mode, placement, values)
    _stays(season, plan, values)
    return values


def _set(values: Values, literal: Literal, value: int) -> None:
    if isinstance(literal, cp_model.IntVar):
        values[literal.index] = value


def _mode_of(season: Season, row: JobVars, placement: Placement) -> Mode | None:
    crew = set(placement.people)
    for mode in row.modes:
        if (
            mode.way_index == placement.way
            and mode.starts >> placement.starts_at & 1
            and mode.end_of(placement.starts_at) == placement.ends_at
            and crew <= {person for need in mode.candidates for person in need}
            and all(crew.intersection(group) for group in mode.hours_groups)
        ):
            return mode
    return None


def _absent(row: JobVars, values: Values, season: Season) -> None:
    if isinstance(row.start, cp_model.IntVar):
        first = next((mode for mode in row.modes if mode.starts), None)
        values[row.start.index] = 0 if first is None else (first.starts & -first.starts).bit_length() - 1
    for mode in row.modes:
        _clear(season, row, mode, values)


def _clear(season: Season, row: JobVars, mode: Mode, values: Values) -> None:
    """This mode is not the one."""
    if mode.literal is not row.present:
        _set(values, mode.literal, 0)
    for literal in [*mode.chosen.values(), *mode.booked.values()]:
        _set(values, literal, 0)
    for taken in mode.taken.values():
        if taken is not row.present:
            _set(values, taken, 0)
    number = row.modes.index(mode)
    for (job, mode_number, _need, _place, _unit), literal in season.unit_spots.items():
        if (job, mode_number) == (row.index, number):
            _set(values, literal, 0)


def _present(season: Season, row: JobVars, mode: Mode, placement: Placement, values: Values) -> None:
    if isinstance(row.start, cp_model.IntVar):
        values[row.start.index] = placement.starts_at
    for other in row.modes:
        _clear(season, row, other, values)
    if mode.literal is not row.present:
        _set(values, mode.literal, 1)
    people, spots = list(placement.people), list(placement.places)
    for need, crew in enumerate(mode.way.crew):
        for person in people[: crew.count]:
            if (need, person) in mode.chosen:
                _set(values, mode.chosen[need, person], 1)
                _set(values, mode.booked[person], 1)
        people = people[crew.count :]
    number = row.modes.index(mode)
    for need, wanted in enumerate(mode.way.places):
        for place, unit in spots[: wanted.units]:
            _set(values, mode.taken.get((need, place), True), 1)
            _set(values, season.unit_spots.get((row.index, number, need, place, unit), True), 1)
        spots = spots[wanted.units :]


def _stays(season: Season, plan: Plan, values: Values) -> None:
    at = {(row.stay, row.place) for row in plan.stays}
    for key, literal in season.stay_spots.items():
        if len(set(season.problem.stays[key[0]].any_of)) > 1:
            _set(values, literal, int(key in at))


def complete(season: Season, decided: Values, seconds: float) -> cp_model.CpSolver | None:
    """Let the solver work out every other variable, and hint all of them; None where the plan breaks a rule.

    Returns the solver that holds the hinted plan as its solution.
    """
    season.model.clear_hints()  # type: ignore[no-untyped-call]  # ortools gives it no types
    for index, value in decided.items():
        season.model.add_hint(season.model.get_int_var_from_proto_index(index), value)
    solver = cp_model.CpSolver()
    solver.parameters.fix_variables_to_their_hinted_value = True
    solver.parameters.num_workers = 1
    solver.parameters.symmetry_level = SYMMETRY_LEVEL
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(season.model)
    season.model.clear_hints()  # type: ignore[no-untyped-call]  # ortools gives it no types
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    for index in range(len(season.model.proto.variables)):
        variable = season.model.get_int_var_from_proto_index(index)
        season.model.add_hint(variable, solver.value(variable))
    return solver
