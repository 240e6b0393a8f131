"""Reads of what is kept beside a boat or an order: notes, photographs, measurements."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

from django.db.models import QuerySet

from yard.models import Boat, Measurement, Memo, Order, Photograph

R = TypeVar("R", Memo, Photograph, Measurement)


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


def measures_on_file(order: Order) -> list[Measurement]:
    """What was measured on the order's boat in other work, by name, the latest first; nothing taken back. One query."""
    rows = Measurement.objects.filter(boat=order.boat, taken_back_at=None).exclude(order=order)
    return list(rows.order_by("name", "-made_at", "-id"))


def measure_names() -> tuple[str, ...]:
    """Names that measures were given before, so that the same thing is called the same. One query."""
    names = Measurement.objects.filter(taken_back_at=None).order_by("name").values_list("name", flat=True)
    return tuple(names.distinct()[:200])


def _rows(**about: Boat | Order) -> RecordRows:
    return RecordRows(
        tuple(_named(Memo.objects.filter(**about))),
        tuple(_named(Photograph.objects.filter(**about))),
        tuple(_named(Measurement.objects.filter(**about))),
    )


def _named(rows: QuerySet[R]) -> QuerySet[R]:
    """Each with what its job, its order and its people are called, and no more of these."""
    own = [field.name for field in rows.model._meta.concrete_fields]
    people = [f"{who}__{name}" for who in ("made_by", "taken_back_by") for name in ("first_name", "username")]
    beside = rows.select_related("job", "order", "made_by", "taken_back_by")
    return beside.only(*own, "job__name", "order__name", *people)
