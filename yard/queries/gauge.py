"""Reads of the yard's tide gauge."""

from __future__ import annotations

from datetime import datetime

from yard.models import GaugeReading


def latest_reading(after: datetime, until: datetime) -> GaugeReading | None:
    """The last reading in (after, until], with who read it. One query."""
    return (
        GaugeReading.objects.filter(at__gt=after, at__lte=until)
        .select_related("read_by")
        .order_by("-at", "-id")
        .first()
    )
