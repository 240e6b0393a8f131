"""Reads of what is kept beside a boat or an order: notes, photographs, measurements."""

from __future__ import annotations

from dataclasses import dataclass

from yard.models import Boat, Measurement, Memo, Order, Photograph


@dataclass(frozen=True)
class RecordRows:
    """Each the latest first, what was taken back among them."""

    memos: tuple[Memo, ...]
    photographs: tuple[Photograph, ...]
    measurements: tuple[Measurement, ...]


def records_of_boat(boat: Boat) -> RecordRows:
    """Those of her orders and jobs too. Three queries."""
    return _rows(boat=boat)


def records_of_order(order: Order) -> RecordRows:
    """Those of its jobs too. Three queries."""
    return _rows(order=order)


def _rows(**about: Boat | Order) -> RecordRows:
    beside = ("job", "order", "made_by", "taken_back_by")
    return RecordRows(
        tuple(Memo.objects.filter(**about).select_related(*beside)),
        tuple(Photograph.objects.filter(**about).select_related(*beside)),
        tuple(Measurement.objects.filter(**about).select_related(*beside)),
    )
