"""Last year's orders by boat, each with the new dates that it would get, to be taken again in bulk."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from yard.models import Boat, Order
from yard.services.order_again import A_YEAR_ON, day_of, orders_of_year

AUTUMN = 9
"""From September on a yard asks about this year's orders for the next; before, about last year's (common practice)."""


@dataclass(frozen=True)
class AgainRow:
    """wanted: the day a year on; None where none was said. taken: the order that it was taken as already."""

    order: Order
    wanted: date | None
    taken: Order | None


@dataclass(frozen=True)
class AgainPage:
    """years: those that can be looked at, the latest first. just: what the last press took, to be taken back."""

    year: int
    years: tuple[int, ...]
    boats: tuple[tuple[Boat, tuple[AgainRow, ...]], ...]
    open_count: int


def again_page(year: int, today: date) -> AgainPage:
    """Two queries, however many orders."""
    groups: dict[int, tuple[Boat, list[AgainRow]]] = {}
    count = 0
    for order in orders_of_year(year):
        assert order.boat is not None
        again = list(order.copies.all())
        wanted = order.wanted_date or order.promised_date
        row = AgainRow(order, wanted + A_YEAR_ON if wanted else None, again[0] if again else None)
        groups.setdefault(order.boat.pk, (order.boat, []))[1].append(row)
        count += not again
    boats = tuple((boat, tuple(sorted(rows, key=lambda row: day_of(row.order)))) for boat, rows in groups.values())
    return AgainPage(year, tuple(range(today.year, today.year - 4, -1)), boats, count)


def usual_year(today: date) -> int:
    return today.year if today.month >= AUTUMN else today.year - 1
