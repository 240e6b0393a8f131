"""alone: nobody does alone what must not be done alone."""

from __future__ import annotations

from ortools.sat.python import cp_model

from yard.planning.cpsat.season import Season


def post(season: Season) -> None:
    for row in season.unpinned:
        if row.job.not_alone:
            for mode in row.modes:
                people = cp_model.LinearExpr.sum(list(mode.booked.values()))
                season.when(season.model.add(people >= 2), mode.literal)
