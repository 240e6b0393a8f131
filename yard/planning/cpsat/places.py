"""places: a unit of a place holds one job at a time.

Equal units need no names in the model: jobs that never take more units than there are can always be given units in
order of their starts.  Only where a pin holds a named unit later on must each unit stand in the model.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from yard.planning.cpsat.season import Expr, JobVars, Literal, Mode, Season, as_expr, merged


@dataclass
class _Held:
    """What jobs take of one place: interval ends, literal and units of each."""

    rows: list[tuple[JobVars, Mode, int, Expr, Literal]] = field(default_factory=list)


def post(season: Season) -> None:
    held: dict[int, _Held] = {}
    for row in season.unpinned:
        for number, mode in enumerate(row.modes):
            ends = _held_until(season, row, mode) if mode.spots else 0
            for need, places in enumerate(mode.spots):
                _take_one(season, row, mode, number, need, places)
                for place in places:
                    if (need, place) in mode.taken:
                        rows = held.setdefault(place, _Held()).rows
                        rows.append((row, mode, need, ends, mode.taken[need, place]))
    for place, taken in held.items():
        if named_units_matter(season, place):
            _each_unit(season, place, taken)
        else:
            _in_all(season, place, taken)


def _take_one(season: Season, row: JobVars, mode: Mode, number: int, need: int, places: list[int]) -> None:
    """All units of a need come from one place."""
    units = mode.way.places[need].units
    fit = [place for place in dict.fromkeys(places) if season.problem.places[place].capacity >= units]
    if len(fit) == 1:
        mode.taken[need, fit[0]] = mode.literal
        return
    literals = []
    for place in fit:
        literal = season.model.new_bool_var(f"job {row.index} mode {number} need {need} place {place}")
        mode.taken[need, place] = literal
        literals.append(literal)
    season.model.add(cp_model.LinearExpr.sum(literals) == as_expr(mode.literal))


def _held_until(season: Season, row: JobVars, mode: Mode) -> Expr:
    """A place stays taken for the weather's share, at most to the end of the day of the last quarter."""
    extra = mode.way.place_extra_quarters
    if not extra:
        return mode.end
    per_day, size = season.axis.per_day, season.axis.size
    # Twice the axis: where another mode is chosen, this one's end may lie beyond the calendar.
    until = season.model.new_int_var(1, 2 * size + extra, f"place of {row.index} held until")
    day = season.model.new_int_var(0, 2 * season.axis.days, f"last day of {row.index} in this mode")
    season.model.add_linear_constraint(mode.end - 1 - per_day * day, 0, per_day - 1)
    season.model.add_min_equality(until, [mode.end + extra, per_day * (day + 1)])
    return until


def pinned_units(season: Season, place: int) -> dict[int, list[tuple[int, int]]]:
    """When pins hold each unit of a place, overlaps made one."""
    spans: dict[int, list[tuple[int, int]]] = {}
    per_day = season.axis.per_day
    for pin in season.problem.pins:
        extra = season.problem.jobs[pin.job].ways[pin.way].place_extra_quarters
        ends = min(pin.ends_at + extra, ((pin.ends_at - 1) // per_day + 1) * per_day)
        for at, unit in pin.places:
            if at == place:
                spans.setdefault(unit, []).append((pin.starts_at, ends))
    return {unit: merged(rows) for unit, rows in sorted(spans.items())}


def named_units_matter(season: Season, place: int) -> bool:
    """Whether a pin holds a unit from later than now on, so that which unit a job takes makes a difference."""
    spans = [span for rows in pinned_units(season, place).values() for span in rows]
    return season.problem.places[place].capacity > 1 and any(starts > season.problem.now for starts, _ends in spans)


def _in_all(season: Season, place: int, held: _Held) -> None:
    capacity = season.problem.places[place].capacity
    intervals, demands = [], []
    for row, mode, need, ends, literal in held.rows:
        intervals.append(season.interval(row.start, ends, f"job {row.index} place {place}", literal))
        demands.append(mode.way.places[need].units)
    for unit, spans in pinned_units(season, place).items():
        intervals += [season.fixed(*span, f"pinned place {place} unit {unit}") for span in spans]
        demands += [1] * len(spans)
    if capacity == 1:
        season.model.add_no_overlap(intervals)
    else:
        season.model.add_cumulative(intervals, demands, capacity)


def _each_unit(season: Season, place: int, held: _Held) -> None:
    capacity = season.problem.places[place].capacity
    pinned = pinned_units(season, place)
    by_unit: dict[int, list[cp_model.IntervalVar]] = {
        unit: [season.fixed(*span, f"pinned place {place} unit {unit}") for span in pinned.get(unit, [])]
        for unit in range(capacity)
    }
    for row, mode, need, ends, literal in held.rows:
        literals = []
        for unit in range(capacity):
            takes = season.model.new_bool_var(f"job {row.index} place {place} unit {unit}")
            season.unit_spots[row.index, row.modes.index(mode), need, place, unit] = takes
            by_unit[unit].append(season.interval(row.start, ends, f"job {row.index} unit {unit}", takes))
            literals.append(takes)
        wanted = mode.way.places[need].units
        season.model.add(cp_model.LinearExpr.sum(literals) == wanted * as_expr(literal))
    for intervals in by_unit.values():
        season.model.add_no_overlap(intervals)
