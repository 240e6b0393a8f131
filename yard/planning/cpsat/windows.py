"""windows: a stretch of a job lies inside her water, the light, a dry day."""

from __future__ import annotations

from yard.planning.cpsat.season import Season
from yard.planning.problem import QUARTER_MIN


def narrow(season: Season) -> None:
    known: dict[tuple[int, int, int], int] = {}
    for row in season.unpinned:
        for mode in row.modes:
            for inside in mode.way.inside:
                length = inside.length_quarters
                if length is None:
                    length = mode.way.duration_quarters - inside.offset_quarters
                key = (inside.window_set, inside.offset_quarters, length)
                if key not in known:
                    known[key] = _starts(season, *key)
                mode.starts &= known[key]


def _starts(season: Season, window_set: int, offset: int, length: int) -> int:
    mask = 0
    for opens, closes in season.problem.window_sets[window_set].intervals:
        mask |= season.axis.begins_between(opens - QUARTER_MIN * offset, closes - QUARTER_MIN * (offset + length))
    return mask
