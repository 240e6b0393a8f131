"""What lies in the yard of each material, and what of it is kept for whom."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Prefetch

from yard.models import Purchase, Stock


@dataclass(frozen=True)
class StockRow:
    """free: millimetres, or sheets, that are kept for nobody."""

    stock: Stock
    free: int
    kept_for: tuple[str, ...]


def stock_rows(*, archived: bool) -> list[StockRow]:
    """Two queries, however many rolls."""
    here = Purchase.objects.filter(state=Purchase.State.HERE).select_related("order").order_by("id")
    rows = (
        Stock.objects.filter(archived=archived)
        .select_related("material", "place")
        .prefetch_related(Prefetch("kept_for", here, to_attr="kept"))
        .order_by("material__kind", "material__name", "length_mm", "id")
    )
    found = []
    for row in rows:
        kept: list[Purchase] = row.kept
        refs = tuple(line.order.ref for line in kept)
        found.append(StockRow(row, row.left - sum(line.quantity for line in kept), refs))
    return found
