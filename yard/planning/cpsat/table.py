"""The table of contents: which rule narrows the starts, which ties jobs together, and the model built from all."""

from __future__ import annotations

from yard.planning.cpsat import (
    alone,
    boat,
    charge,
    closed,
    complete,
    crew,
    cutoff,
    double_booking,
    exchange,
    hours,
    objective,
    pins,
    places,
    release,
    slides,
    span,
    stays,
    waits,
    windows,
)
from yard.planning.cpsat.season import Season
from yard.planning.cutoff import Cutoff
from yard.planning.problem import Problem
from yard.speech import _

# Before any variable exists: what a rule takes out of the starts is never seen by the solver. `hours` comes last,
# because it drops people whom no start that is left suits.
NARROWING = {
    "pins": pins.narrow,
    "release": release.narrow,
    "windows": windows.narrow,
    "closed": closed.narrow,
    "charge": charge.narrow,
    "hours": hours.narrow,
}

# `span` makes the ends and `crew` and `places` the literals that the rules after them read.
POSTED = {
    "complete": complete.post,
    "span": span.post,
    "crew": crew.post,
    "alone": alone.post,
    "hours": hours.post,
    "double_booking": double_booking.post,
    "places": places.post,
    "closed": closed.post,
    "charge": charge.post,
    "boat": boat.post,
    "slides": slides.post,
    "waits": waits.post,
    "stays": stays.post,
}


def build(
    problem: Problem, *, may_leave_out: bool = False, only: Cutoff | None = None
) -> tuple[Season, tuple[str, ...]]:
    """The model, and a sentence for each job to which the rules leave no start at all."""
    season = Season(problem, may_leave_out=may_leave_out, cutoff=only)
    span.make_modes(season)
    reasons = _emptied(season, "span", set())
    cutoff.narrow(season)
    reasons.update(_emptied(season, "cutoff", set(reasons)))
    for rule, narrow in NARROWING.items():
        narrow(season)
        reasons.update(_emptied(season, rule, set(reasons)))
    season.make_variables()
    if not reasons or may_leave_out:
        for post in POSTED.values():
            post(season)
        exchange.post(season)
        objective.post(season)
    return season, tuple(reasons[job] for job in sorted(reasons))


def _emptied(season: Season, rule: str, known: set[int]) -> dict[int, str]:
    """Jobs left without a start by this rule."""
    found = {}
    for row in season.unpinned:
        if row.index not in known and not any(mode.starts for mode in row.modes):
            name = season.problem.boats[row.job.boat].name
            found[row.index] = _("{job} ({boat}) fits nowhere: no start is left by the rule '{rule}'").format(
                job=row.job.name, boat=name, rule=rule
            )
    return found
