"""complete: every job of a boat is planned in one way, or (only where asked) the whole boat is left out."""

from __future__ import annotations

from ortools.sat.python import cp_model

from yard.planning.cpsat.season import Season, as_expr


def post(season: Season) -> None:
    for row in season.unpinned:
        if not row.modes:
            season.model.add_bool_or([] if isinstance(row.present, bool) else [~row.present])
        elif len(row.modes) > 1:
            modes = cp_model.LinearExpr.sum([as_expr(mode.literal) for mode in row.modes])
            season.model.add(modes == as_expr(row.present))
