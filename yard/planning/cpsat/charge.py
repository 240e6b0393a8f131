"""charge: a workboat runs no longer between two charges or fills than it can."""

from __future__ import annotations

from ortools.sat.python import cp_model

from yard.planning.cpsat.season import JobVars, Literal, Mode, Season, as_expr
from yard.planning.problem import QUARTER_MIN, Charge


def narrow(season: Season) -> None:
    """Leave the starts from which one of the places of each need is on one charge until the end."""
    for row in season.unpinned:
        for mode in row.modes:
            for need in mode.spots:
                somewhere = 0
                for place in need:
                    charges = season.problem.places[place].charges
                    somewhere |= mode.starts if not charges else 0
                    for charge in charges:
                        somewhere |= _starts_on(season, mode, charge)
                mode.starts &= somewhere


def post(season: Season) -> None:
    """Of each charge, as many quarters as the jobs that start on it are long."""
    for place, row in enumerate(season.problem.places):
        if not row.charges:
            continue
        taken: list[list[cp_model.LinearExpr | int]] = [[] for _ in row.charges]
        for job in season.unpinned:
            for mode in job.modes:
                for need, at in mode.taken:
                    if at == place:
                        _on_one(season, job, mode, need, place, taken)
        for number, charge in enumerate(row.charges):
            left = charge.quarters - _pinned(season, place, charge)
            if taken[number]:  # what is pinned may be over it already: then nothing more runs on it
                season.model.add(cp_model.LinearExpr.sum(taken[number]) <= max(0, left))


def _on_one(
    season: Season, job: JobVars, mode: Mode, need: int, place: int, taken: list[list[cp_model.LinearExpr | int]]
) -> None:
    """A job that is there is there on one of the charges."""
    here = mode.taken[need, place]
    quarters = mode.way.duration_quarters * mode.way.places[need].units
    literals: list[Literal] = []
    for number, charge in enumerate(season.problem.places[place].charges):
        starts = _starts_on(season, mode, charge)
        if starts:
            literal = season.model.new_bool_var(f"job {job.index} place {place} need {need} charge {number}")
            season.within(job.start, starts, literal)
            taken[number].append(quarters * as_expr(literal))
            literals.append(literal)
    season.model.add(cp_model.LinearExpr.sum(literals) == as_expr(here))


def _starts_on(season: Season, mode: Mode, charge: Charge) -> int:
    """The starts of this mode from which all of it lies on the charge."""
    last = charge.ends - QUARTER_MIN * mode.way.duration_quarters
    return mode.starts & season.axis.begins_between(charge.starts, last)


def _pinned(season: Season, place: int, charge: Charge) -> int:
    """The quarters that pinned jobs run on it."""
    timeline, quarters = season.axis.timeline, 0
    for pin in season.problem.pins:
        units = sum(at == place for at, _unit in pin.places)
        if units:
            minutes = (timeline.minute_at(at) for at in range(pin.starts_at, pin.ends_at))
            quarters += units * sum(charge.starts <= m < charge.ends for m in minutes)
    return quarters
