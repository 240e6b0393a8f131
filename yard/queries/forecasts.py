"""Reads of forecasts."""

from __future__ import annotations

from datetime import UTC, datetime

from yard.models import HourlyForecast
from yard.weather.hourly import Hour


def latest_forecast() -> HourlyForecast | None:
    """The forecast made last, whoever made it. One query."""
    return HourlyForecast.objects.order_by("-updated_at", "-id").first()


def hours_between(forecast: HourlyForecast, starts_at: datetime, ends_at: datetime) -> tuple[Hour, ...]:
    """Its hours that begin in [starts_at, ends_at), in order, as yard.weather judges them."""
    found = []
    for row in forecast.rows:
        start = datetime.fromisoformat(row["start"]).astimezone(UTC)
        if starts_at <= start < ends_at:
            found.append(Hour(**{**row, "start": start}))
    return tuple(found)
