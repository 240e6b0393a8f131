"""Figures of the board in words and cells: the count of each state, the load of each week."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from yard.pictures.load import is_full
from yard.queries.season_board import LATE, NO_HAND, ON_TIME, WAITING
from yard.web.season.asked import Asked
from yard.web.season.board import Board

_LOOKS = {
    LATE: ("late", "i-late", "late"),
    WAITING: ("waiting on", "i-wait", ""),
    NO_HAND: ("no day in hand", "i-nohand", "nohand"),
    ON_TIME: ("on time", "i-ok", ""),
}


@dataclass(frozen=True)
class Tally:
    """How many boats stand so; its address shows them alone, or all again."""

    state: str
    count: int
    words: str
    icon: str
    css: str
    url: str
    current: bool


@dataclass(frozen=True)
class LoadCells:
    label: str
    cells: tuple[str, ...]


def tallies(board: Board, asked: Asked) -> list[Tally]:
    return [
        Tally(
            state,
            board.counts.get(state, 0),
            *_LOOKS[state],
            url=asked.address(state="" if asked.state == state else state, rows="boats"),
            current=asked.state == state,
        )
        for state in _LOOKS
    ]


def mondays(board: Board) -> list[date]:
    return sorted({week.monday for row in board.load for week in row.weeks})


def load_rows(board: Board) -> list[LoadCells]:
    """Hours planned of hours there are, "full" where no lost day fits any more."""
    found = []
    for row in board.load:
        weeks = {week.monday: week for week in row.weeks}
        cells = []
        for monday in mondays(board):
            week = weeks.get(monday)
            full = " full" if week and is_full(week) else ""
            cells.append(f"{week.planned_h:.0f} of {week.available_h:.0f}{full}" if week else "")
        found.append(LoadCells(row.label, tuple(cells)))
    return found
