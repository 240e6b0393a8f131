"""stays: a berth, mooring or rack holds one boat a night."""

from __future__ import annotations

from ortools.sat.python import cp_model

from yard.planning.cpsat.season import Expr, Literal, Season
from yard.planning.problem import Stay


def post(season: Season) -> None:
    held: dict[int, list[cp_model.IntervalVar]] = {}
    for index, stay in enumerate(season.problem.stays):
        first, stop = _nights(season, index, stay)
        present = _present(season, stay)
        places = list(dict.fromkeys(stay.any_of))
        literals: list[Literal] = []
        for place in places:
            alone = len(places) == 1
            literal = present if alone else season.model.new_bool_var(f"stay {index} place {place}")
            season.stay_spots[index, place] = literal
            literals.append(literal)
            held.setdefault(place, []).append(season.interval(first, stop, f"stay {index} at {place}", literal))
        if len(places) > 1:
            season.when(season.model.add_exactly_one(literals), present)
    for place, intervals in held.items():
        # Cumulative for one unit too: a stay of no night at all must not part two others.
        season.model.add_cumulative(intervals, [1] * len(intervals), season.problem.places[place].capacity)


def _nights(season: Season, index: int, stay: Stay) -> tuple[Expr, Expr]:
    """First night and the night after the last; the same where there is none."""
    first: Expr = 0 if stay.from_job is None else season.end_day(season.jobs[stay.from_job])
    stop: Expr = season.axis.days if stay.until_job is None else season.start_day(season.jobs[stay.until_job])
    if isinstance(first, int) and isinstance(stop, int):
        return first, max(first, stop)
    until = season.model.new_int_var(0, season.axis.days, f"stay {index} until")
    season.model.add_max_equality(until, [first, stop])
    return first, until


def _present(season: Season, stay: Stay) -> Literal:
    """A stay happens where its jobs are planned; its jobs may be of two boats."""
    literals = [season.jobs[job].present for job in (stay.from_job, stay.until_job) if job is not None]
    variable = list({id(literal): literal for literal in literals if not isinstance(literal, bool)}.values())
    if len(variable) <= 1:
        return variable[0] if variable else True
    both = season.model.new_bool_var("stay happens")
    season.model.add_multiplication_equality(both, variable)
    return both
