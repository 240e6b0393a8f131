"""How long a sail hangs, by the weather that is forecast: the days to plan, and an honest range.

Reckoned for a corner patch, which dries last, at the forecast's temperature and humidity, out of the wind and sun:
yard.weather.drying has the formula and its sources. Its honest error is a factor of two either way. A person's "dry",
tapes and corner patches felt, ends it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from yard.models import HourlyForecast
from yard.weather.drying import CORNER_LAYERS, drying_hours, drying_rate_g_per_m2_h, planned_drying_days
from yard.weather.hourly import HOUR, Hour, hours_from_rows
from yard.weather.humidity import relative_humidity
from yard.weather.refresh import TOO_OLD_AFTER

LOOKS_AHEAD = timedelta(hours=72)
HONEST = 2.0
"""Either way (yard.weather.drying)."""
FEWEST_HOURS = 24
"""Of a forecast, before it says anything of how a sail dries (common practice)."""
USUAL_DAYS = (1, 2, 3)
"""Without a forecast: one to three days, two planned (sailcloth.com care notes)."""


@dataclass(frozen=True, slots=True)
class DryingTime:
    """days: planned. least_h, most_h: the honest range. temp_c, rh: means that it was reckoned from; None: a usual."""

    days: int
    least_h: float
    most_h: float
    temp_c: float | None = None
    rh: float | None = None


def drying_time(now: datetime) -> DryingTime:
    """For a sail hung now. One query."""
    row = HourlyForecast.objects.filter(fetched_at__lte=now).order_by("-updated_at", "-id").first()
    least, usual, most = USUAL_DAYS
    without = DryingTime(usual, least * 24.0, most * 24.0)
    if row is None or now - row.updated_at > TOO_OLD_AFTER:
        return without
    known = [hour for hour in hours_from_rows(row.rows) if now < hour.start + HOUR <= now + LOOKS_AHEAD]
    air = [(hour.temp_c, rh) for hour in known if hour.temp_c is not None and (rh := _humidity(hour)) is not None]
    if len(air) < FEWEST_HOURS:
        return without
    temp_c, rh = (sum(values) / len(air) for values in zip(*air, strict=True))
    rate = drying_rate_g_per_m2_h(min(max(temp_c, -10.0), 60.0), rh)
    if rate <= 0:
        return DryingTime(planned_drying_days(rh), most * 24.0, most * 24.0 * HONEST, temp_c, rh)
    corner_h = drying_hours(rate, layers=CORNER_LAYERS)
    return DryingTime(planned_drying_days(rh), corner_h / HONEST, corner_h * HONEST, temp_c, rh)


def _humidity(hour: Hour) -> float | None:
    if hour.rh is not None or hour.temp_c is None or hour.dew_c is None:
        return hour.rh
    return relative_humidity(hour.temp_c, hour.dew_c)
