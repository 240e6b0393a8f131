"""Reads of forecasts."""

from __future__ import annotations

from datetime import datetime

from yard.models import HourlyForecast
from yard.weather.hourly import Hour, hours_from_rows


def latest_forecast() -> HourlyForecast | None:
    """The forecast made last, whoever made it. One query."""
    return HourlyForecast.objects.order_by("-updated_at", "-id").first()


def hours_between(forecast: HourlyForecast, starts_at: datetime, ends_at: datetime) -> tuple[Hour, ...]:
    """Its hours that begin in [starts_at, ends_at), in order, as yard.weather judges them."""
    return tuple(hour for hour in hours_from_rows(forecast.rows) if starts_at <= hour.start < ends_at)
