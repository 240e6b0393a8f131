"""What charges give, as rows of free words: one a quarter of running, taken from a job's start until the day is over.

A day may have several charges: the first of each day, the second of each ... have rows of their own, as many as the
longest of them lasts; on a day with less, the rows beyond it are never free.  So the jobs of a day that run on one
charge can be given rows exactly while they are together no longer than it lasts.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from yard.planning import engine as e
from yard.planning.axis import Axis
from yard.planning.problem import Charge, Minutes, Pin, Problem
from yard.planning.tables import Tables


@dataclass(frozen=True, slots=True)
class Spent:
    """The n-th charge of each day of one place.

    first: first row.  quarters: by day, how many of the rows there are (0: no such charge).
    open_row: row of the quarters that lie on the charge.  open_words: its words.
    """

    first: int
    quarters: list[int]
    open_row: int
    open_words: list[int]

    @property
    def most(self) -> int:
        return max(self.quarters)


def lay_out_spent(problem: Problem, axis: Axis, tables: Tables) -> dict[int, list[Spent]]:
    """By place that runs on charges. These are the last rows of all but for the open ones before them."""
    by_place = {place: _by_turn(row.charges, axis) for place, row in enumerate(problem.places) if row.charges}
    opened = {place: [tables.new_row() for _turn in turns] for place, turns in by_place.items()}
    return {
        place: [_spent(turn, axis, tables, row) for turn, row in zip(turns, opened[place], strict=True)]
        for place, turns in by_place.items()
    }


def _by_turn(charges: tuple[Charge, ...], axis: Axis) -> list[dict[int, Charge]]:
    """The first charges of the days, the second ...; by day."""
    turns: list[dict[int, Charge]] = []
    for charge in charges:
        day = bisect_right(axis.calendar.day_starts, charge.starts) - 1
        turn = next((turn for turn in turns if day not in turn), None)
        if turn is None:
            turns.append(turn := {})
        turn[day] = charge
    return turns


def _spent(turn: dict[int, Charge], axis: Axis, tables: Tables, open_row: int) -> Spent:
    lasts = [turn[day].quarters if day in turn else 0 for day in range(axis.days)]
    spans: list[Minutes] = [(charge.starts, charge.ends) for _day, charge in sorted(turn.items())]
    return Spent(tables.new_row(max(lasts)), lasts, open_row, axis.words(spans))


def spent_words(spent: Mapping[int, list[Spent]], axis: Axis) -> Iterator[tuple[int, list[int]]]:
    """(row, words) while nothing has run."""
    for turn in (turn for turns in spent.values() for turn in turns):
        yield turn.open_row, turn.open_words
        for number in range(turn.most):
            yield turn.first + number, [axis.full if number < quarters else 0 for quarters in turn.quarters]


def spend(spent: Mapping[int, list[Spent]], axis: Axis, g: list[int], state: list[int], pin: Pin) -> None:
    """What a pinned job runs is spent; where no more is left, all of it is (the check will say so)."""
    for place, _unit in pin.places:
        for turn in spent.get(place, ()):
            for at in range(pin.starts_at, pin.ends_at):
                day, quarter = divmod(at, axis.quarters)
                if turn.open_words[day] >> quarter & 1:
                    _spend_one(turn, axis, g, state, day)


def _spend_one(turn: Spent, axis: Axis, g: list[int], state: list[int], day: int) -> None:
    words = g[e.FREE] + day * g[e.ROWS]
    for row in range(words + turn.first, words + turn.first + turn.quarters[day]):
        if state[row] == axis.full:
            state[row] = 0
            return


def charge_rows(g: list[int], state: list[int], mode: int, need: int, start: int) -> list[int] | None:
    """Rows that a job of this mode would spend from a start on; None where `need` is no charge or none is left."""
    table = g[mode + e.K_PLACES] + need * e.PLACE_STRIDE
    end = e.end_of(g, mode, start)
    for number in range(g[table + 1]):
        first, among, quarters, opened = (g[g[table + 2] + number * e.ALTERNATIVE_STRIDE + x] for x in range(4))
        if first < g[e.CHARGED] or not e.free_for(g, state, opened, start, end):
            continue
        until = e.hold_end(g, mode, first, end)
        free = [row for row in range(first, first + among) if e.free_for(g, state, row, start, until)]
        if len(free) >= quarters:
            return free[:quarters]
    return None
