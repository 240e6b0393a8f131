"""closed: a closed place is not used."""

from __future__ import annotations

from yard.planning.cpsat.season import Mode, Season


def narrow(season: Season) -> None:
    """Leave the starts at which one of the places is open for each need."""
    for row in season.unpinned:
        for mode in row.modes:
            for need in mode.spots:
                open_somewhere = 0
                for place in need:
                    open_somewhere |= _open_starts(season, mode, place)
                mode.starts &= open_somewhere


def post(season: Season) -> None:
    """Where some places are closed and others not, the place taken decides."""
    for row in season.unpinned:
        for mode in row.modes:
            for (_need, place), literal in mode.taken.items():
                starts = _open_starts(season, mode, place)
                if starts != mode.starts:
                    season.within(row.start, starts, literal)


def _open_starts(season: Season, mode: Mode, place: int) -> int:
    return season.clear_of(mode, season.axis.touching(season.problem.places[place].closed))
