"""Reads of the yard's seasons: which one a day's order belongs to, and which one follows."""

from __future__ import annotations

from datetime import date

from yard.models import Season


def season_for(day: date) -> Season | None:
    """The open season that holds the day; where that one is closed or missing, the first open one that ends after it.

    So an order of the last weeks of a year that was closed early is of the next. One query, or two.
    """
    rows = Season.objects.filter(ends_on__gt=day, closed_at=None)
    return rows.filter(starts_on__lte=day).first() or rows.first()


def seasons_by_start() -> list[Season]:
    """All of them, the latest first. One query."""
    return list(Season.objects.order_by("-starts_on", "-id"))


def next_in_time(season: Season) -> Season | None:
    """The open season that begins next: what is unfinished goes there. One query."""
    return Season.objects.filter(starts_on__gte=season.ends_on, closed_at=None).order_by("starts_on", "id").first()
