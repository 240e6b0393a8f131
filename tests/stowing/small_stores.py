"""Small stores: drawn, or written by hand as stacks of numbers that leave in turn."""

from __future__ import annotations

from itertools import permutations, product
from typing import Any

from hypothesis import strategies as st

from yard.stowing.values import Boat, Row, Store, StowPlan


def stacks(*rows: list[int], most: int = 99, aside: int = 0) -> tuple[Store, tuple[tuple[int, ...], ...]]:
    """Stacks as papers print them, bottom first; the number says in which turn each leaves, from 1. With the layout."""
    turns = sorted(turn for row in rows for turn in row)
    index = {turn: number for number, turn in enumerate(turns)}
    boats = tuple(Boat(name=f"boat {turn}", length_m=1.0, leaves=float(turn)) for turn in turns)
    layout = tuple(tuple(index[turn] for turn in row) for row in rows)
    store = Store(rows=tuple(Row(name=f"row {n}", most=most) for n in range(len(rows))), boats=boats, aside=aside)
    return store, layout


def all_fillings(store: Store) -> list[tuple[tuple[int, ...], ...]]:
    """Every way of standing the coming boats in the rows, without a thought about size or days."""
    found = []
    for order in permutations(store.coming):
        for rows in product(range(len(store.rows)), repeat=len(order)):
            layout = [list(row) for row in store.standing]
            for boat, row in zip(order, rows, strict=True):
                layout[row].append(boat)
            found.append(tuple(tuple(row) for row in layout))
    return list(dict.fromkeys(found))


def some_days(store: Store, layout: tuple[tuple[int, ...], ...]) -> list[StowPlan]:
    """The layout with every choice of days inside the boats' dates."""
    coming = store.coming
    spans = [range(store.boats[boat].comes[0], store.boats[boat].comes[1] + 1) for boat in coming]
    return [StowPlan(layout, dict(zip(coming, days, strict=True))) for days in product(*spans)]


lengths = st.sampled_from([5.0, 7.0, 9.0])


@st.composite
def boats(draw: st.DrawFn, number: int) -> Boat:
    first = draw(st.integers(0, 3))
    last = first + draw(st.integers(0, 2))
    return Boat(
        name=f"boat {number}",
        length_m=draw(lengths),
        width_m=draw(st.sampled_from([2.0, 3.0])),
        comes=(first, last),
        wanted=draw(st.integers(first, last)),
        leaves=float(draw(st.integers(100, 106))),
        spread_days=draw(st.sampled_from([0.0, 3.0])),
    )


@st.composite
def stores(draw: st.DrawFn, most_boats: int = 4, most_rows: int = 2, **facts: Any) -> Store:
    count = draw(st.integers(0, most_boats))
    rows = draw(st.integers(1, most_rows))
    fleet = tuple(draw(boats(number)) for number in range(count))
    made = tuple(
        Row(
            name=f"row {number}",
            most=draw(st.integers(1, 4)),
            length_m=draw(st.sampled_from([10.0, 18.0, 40.0])),
            width_m=draw(st.sampled_from([2.5, 3.5])),
        )
        for number in range(rows)
    )
    standing: list[tuple[int, ...]] = [() for _ in made]
    if count and draw(st.booleans()):
        standing[0] = (0,)
    values = {"most_a_day": draw(st.integers(1, 3)), "aside": draw(st.integers(0, 2)), "gap_m": 0.5} | facts
    return Store(rows=made, boats=fleet, standing=tuple(standing), **values)
