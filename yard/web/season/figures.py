"""Figures of the board in words and cells: the count of each state, the load of each week."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from yard.pictures.board_input import WeekHours
from yard.pictures.load import is_full
from yard.queries.boat_list import state_words
from yard.queries.season_board import LATE, NO_HAND, ON_TIME, WAITING
from yard.web.season.asked import Asked
from yard.web.season.board import Board

_LOOKS = {
    LATE: ("i-late", "late"),
    WAITING: ("i-wait", ""),
    NO_HAND: ("i-nohand", "nohand"),
    ON_TIME: ("i-ok", ""),
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
            state_words(state),
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
            cells.append(_cell(week) if week else "")
        found.append(LoadCells(row.label, tuple(cells)))
    return found


def _cell(week: WeekHours) -> str:
    said = _("{planned} of {available} full") if is_full(week) else _("{planned} of {available}")
    return said.format(planned=f"{week.planned_h:.0f}", available=f"{week.available_h:.0f}")
