"""The winter store as plain values: rows that are stacks, what is stowed in them, when it comes and when it leaves.

A row is entered from one end: only the outermost boat can be taken out. A level of a spar rack is such a row too, with
spars in it. Lengths in metres; days are plain numbers, one a calendar day (date.toordinal() serves).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass


class StoreInvalid(ValueError):
    """A value of the store cannot be; the text names what it belongs to and what it must be."""


@dataclass(frozen=True, slots=True)
class NoLimit:
    """The row sets no such limit, or nobody measured the boat."""


NO_LIMIT = NoLimit()
Metres = float | NoLimit


@dataclass(frozen=True, slots=True, kw_only=True)
class Boat:
    """A boat, or a spar.

    width_m, height_m: NO_LIMIT where nobody measured. comes: the first and the last day on which she may be put in,
    both counted. wanted: the day on which her owner would have it. leaves: the day on which she is expected to go
    out again, spread_days: its standard deviation.
    """

    name: str
    length_m: float
    width_m: Metres = NO_LIMIT
    height_m: Metres = NO_LIMIT
    comes: tuple[int, int] = (0, 0)
    wanted: int = 0
    leaves: float = 0.0
    spread_days: float = 0.0

    def __post_init__(self) -> None:
        _above_nothing(self.name, "length_m", self.length_m)
        for field, value in (("width_m", self.width_m), ("height_m", self.height_m)):
            if not isinstance(value, NoLimit):
                _above_nothing(self.name, field, value)
        if self.comes[1] < self.comes[0]:
            raise StoreInvalid(f"{self.name}: the last day to come is before the first")
        if not math.isfinite(self.leaves):
            raise StoreInvalid(f"{self.name}: leaves must be a day")
        if not (math.isfinite(self.spread_days) and self.spread_days >= 0):
            raise StoreInvalid(f"{self.name}: spread_days must be 0 or more")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A row of the store from the wall to the door, or a level of a rack.

    most: boats. length_m: of the whole row. longest_m, width_m, height_m: limits of each boat in it.
    """

    name: str
    most: int
    length_m: Metres = NO_LIMIT
    longest_m: Metres = NO_LIMIT
    width_m: Metres = NO_LIMIT
    height_m: Metres = NO_LIMIT

    def __post_init__(self) -> None:
        if self.most < 1:
            raise StoreInvalid(f"{self.name}: most must be 1 or more")
        for field in ("length_m", "longest_m", "width_m", "height_m"):
            value = getattr(self, field)
            if not isinstance(value, NoLimit):
                _above_nothing(self.name, field, value)

    def takes(self, boat: Boat) -> bool:
        """Whether she fits in it at all."""
        limits = (
            (self.length_m, boat.length_m),
            (self.longest_m, boat.length_m),
            (self.width_m, boat.width_m),
            (self.height_m, boat.height_m),
        )
        return all(within(value, limit) for limit, value in limits)


@dataclass(frozen=True, slots=True, kw_only=True)
class Store:
    """All of it before anything is planned.

    standing: for each row, indices of the boats that stand in it already, from the wall outward.
    most_a_day: how many may be put in on one day. aside: how many may stand on the apron while another is taken out
    (0: none, each goes at once into another row). end_to_end: boats stand behind one another, so that their lengths
    add up; not where spars lie side by side. gap_m: between two boats of a row.
    """

    rows: tuple[Row, ...]
    boats: tuple[Boat, ...]
    standing: tuple[tuple[int, ...], ...] = ()
    most_a_day: int = 1_000
    aside: int = 0
    end_to_end: bool = True
    gap_m: float = 0.0

    def __post_init__(self) -> None:
        if not self.standing:
            object.__setattr__(self, "standing", tuple(() for _ in self.rows))
        if len(self.standing) != len(self.rows):
            raise StoreInvalid("standing: one tuple for each row")
        here = [boat for row in self.standing for boat in row]
        if len(set(here)) != len(here) or any(not 0 <= boat < len(self.boats) for boat in here):
            raise StoreInvalid("standing: each boat stands once, and is one of the boats")
        if self.most_a_day < 1 or self.aside < 0 or self.gap_m < 0:
            raise StoreInvalid("most_a_day is 1 or more, aside and gap_m are 0 or more")

    @property
    def standing_set(self) -> frozenset[int]:
        return frozenset(boat for row in self.standing for boat in row)

    @property
    def coming(self) -> tuple[int, ...]:
        """Indices of the boats that are to be put in."""
        here = self.standing_set
        return tuple(boat for boat in range(len(self.boats)) if boat not in here)

    def holds(self, row: int, boats: Sequence[int]) -> bool:
        """Whether all of these stand in this row together; whether each fits is `Row.takes`."""
        one = self.rows[row]
        if len(boats) > one.most:
            return False
        if not self.end_to_end or isinstance(one.length_m, NoLimit) or not boats:
            return True
        taken = sum(self.boats[boat].length_m for boat in boats) + self.gap_m * (len(boats) - 1)
        return taken <= one.length_m + 1e-9


class Fits:
    """Which row takes which boat, reckoned once: the same answers as `Row.takes` and `Store.holds`, soon given."""

    def __init__(self, store: Store) -> None:
        self.takes = [[row.takes(boat) for boat in store.boats] for row in store.rows]
        self.most = [row.most for row in store.rows]
        self.length_m = [
            math.inf if isinstance(row.length_m, NoLimit) or not store.end_to_end else row.length_m + 1e-9
            for row in store.rows
        ]
        self.each_m = [boat.length_m + store.gap_m for boat in store.boats]
        self.gap_m = store.gap_m

    def taken_m(self, boats: Sequence[int]) -> float:
        """What these take of a row, with a gap after each."""
        return sum(self.each_m[boat] for boat in boats)

    def one_more(self, row: int, count: int, taken_m: float, boat: int) -> bool:
        """Whether a row with so many, who take so much of it, has room for her."""
        return (
            count < self.most[row]
            and self.takes[row][boat]
            and taken_m + self.each_m[boat] - self.gap_m <= self.length_m[row]
        )


Layout = tuple[tuple[int, ...], ...]
"""For each row, the boats in it, from the wall outward."""


@dataclass(frozen=True, slots=True)
class StowPlan:
    """Where each boat is to stand, and the day she comes. days: of each boat of `layout` that is coming."""

    layout: Layout
    days: dict[int, int]

    def row_of(self) -> dict[int, int]:
        return {boat: row for row, boats in enumerate(self.layout) for boat in boats}


@dataclass(frozen=True, slots=True)
class NoRoom:
    """These boats fit nowhere: nothing is planned as long as they are asked for."""

    boats: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """One step of emptying the store: out of a row onto the apron, from the apron into a row, or away for good."""

    do: str
    boat: int
    row: int

    def __post_init__(self) -> None:
        if self.do not in ("out", "in", "leave"):
            raise StoreInvalid(f"a step is out, in or leave, not {self.do!r}")


@dataclass(frozen=True, slots=True)
class Emptied:
    """How the store is emptied. extra: how often a boat is moved that does not leave then. proved: none needs fewer
    when only boats in the way of the next one are moved."""

    steps: tuple[Step, ...]
    extra: int
    proved: bool


@dataclass(frozen=True, slots=True)
class Stuck:
    """The next boat cannot be taken out: for those in her way there is no room. boat: she."""

    boat: int


def within(value: Metres, limit: Metres) -> bool:
    """A limit that is not set, or a measure that nobody took, forbids nothing."""
    return isinstance(limit, NoLimit) or isinstance(value, NoLimit) or value <= limit + 1e-9


def launch_order(boats: Sequence[Boat], among: Sequence[int] | None = None) -> tuple[int, ...]:
    """Indices by the day on which they leave; of one day, as they are listed."""
    chosen = range(len(boats)) if among is None else among
    return tuple(sorted(chosen, key=lambda boat: (boats[boat].leaves, boat)))


def _above_nothing(name: str, field: str, value: float) -> None:
    if not (math.isfinite(value) and value > 0):
        raise StoreInvalid(f"{name}: {field} must be above 0, not {value}")
