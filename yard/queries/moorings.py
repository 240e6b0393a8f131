"""Reads of moorings: the list, and who lies on one."""

from __future__ import annotations

from datetime import date, timedelta

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery

from yard.models import Mooring, Order, TacklePart, Whereabouts
from yard.queries.by_words import carrying

DUE_SOON = timedelta(days=30)
"""An inspection or a permit that runs out within this is worth a call now (common practice)."""


def moorings_on_file() -> QuerySet[Mooring]:
    """Each with the boat of its permit at hand, and whether a part of its tackle is to be replaced (to_replace)."""
    up = TacklePart.objects.filter(mooring=OuterRef("pk"), taken_up_on=None)
    return (
        Mooring.objects.select_related("permit_boat")
        .annotate(to_replace=Exists(up.filter(condition=TacklePart.Condition.REPLACE)))
        .order_by("ref", "id")
    )


def moorings_found(rows: QuerySet[Mooring], words: str) -> QuerySet[Mooring]:
    """Moorings that carry every word: number, where it lies, the boat, the permit's number."""
    lookups = ("ref", "position_note", "permit_boat__name", "permit_number")
    return carrying(rows, words, (f"{each}__icontains" for each in lookups))


def needing(rows: QuerySet[Mooring], what: str, today: date) -> QuerySet[Mooring]:
    """Those that need somebody: `permit` without one that lasts, `inspection` due, `tackle` to be replaced, `set`."""
    soon = today + DUE_SOON
    match what:
        case "permit":
            return rows.filter(Q(permit_expires_on=None) | Q(permit_expires_on__lt=soon), temporary=False)
        case "inspection":
            return rows.filter(tackle_inspection_due_on__lt=soon)
        case "tackle":
            parts = TacklePart.objects.filter(taken_up_on=None, condition=TacklePart.Condition.REPLACE)
            return rows.filter(pk__in=parts.values("mooring"))
        case "unset":
            return rows.filter(Q(tackle_set_on=None) | Q(tackle_set_on__year__lt=today.year))
        case _:
            return rows


def lying_on(mooring: Mooring) -> list[Whereabouts]:
    """Who lies on it now. One query."""
    latest = Whereabouts.objects.filter(boat=OuterRef("boat")).order_by("-since", "-id").values("pk")[:1]
    rows = Whereabouts.objects.filter(pk=Subquery(latest), mooring=mooring, boat__archived=False)
    return list(rows.select_related("boat", "said_by").order_by("boat__name", "id"))


def orders_to(mooring: Mooring) -> list[Order]:
    """Open orders that name it. One query."""
    return list(mooring.orders.filter(state=Order.State.OPEN).select_related("boat").order_by("made_at", "id"))
