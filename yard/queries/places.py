"""Reads of places."""

from datetime import datetime

from django.db.models import Prefetch, QuerySet

from yard.models import Closure, Place


def places_in_use() -> QuerySet[Place]:
    """Every place in use, in the yard's own order, with its hours and who may work it at hand. Three queries."""
    return (
        Place.objects.filter(archived=False).prefetch_related("hours", "operators").order_by("sequence", "name", "id")
    )


def places_listed(now: datetime) -> QuerySet[Place]:
    """Every place, in use or not, with who works it; of its closures those that shut it now. Three queries."""
    shut = Closure.objects.filter(state=Closure.State.ACCEPTED, starts_at__lte=now, ends_at__gt=now)
    closed = Prefetch("closures", shut.order_by("starts_at", "id"))
    rows = Place.objects.select_related("stack").prefetch_related("operators", closed)
    return rows.order_by("sequence", "name", "id")
