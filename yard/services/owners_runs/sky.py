"""What the forecast has against the hours of an owners' run, by what work afloat bears: told, it moves nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from yard.models import Place, YardSettings
from yard.queries.forecasts import latest_forecast
from yard.services.read_problem.forecast import judged_at
from yard.services.suggest_closures import reason_of
from yard.services.weather_limits import limits_of
from yard.weather.hourly import HOUR, Hour, hours_from_rows
from yard.weather.judge import Verdict
from yard.weather.limits import Limits, WorkKind
from yard.weather.refresh import TOO_OLD_AFTER


@dataclass(frozen=True)
class SkyOverRuns:
    """The hours of the newest forecast, none where it is too old, and what work afloat bears at this yard."""

    hours: Sequence[Hour]
    limits: Limits

    @classmethod
    def read(cls, yard: YardSettings, *, now: datetime) -> SkyOverRuns:
        """One query."""
        row = latest_forecast()
        known = row is not None and now - row.updated_at <= TOO_OLD_AFTER
        return cls(hours_from_rows(row.rows) if row is not None and known else (), limits_of(yard)[WorkKind.AFLOAT])

    def against(self, boat: Place, leaves_at: datetime, back_at: datetime) -> str:
        """ "forecast: wind up to 19 kn, limit 15", at the boat's own limits where she has some; "" for nothing."""
        hours = [hour for hour in self.hours if hour.start < back_at and leaves_at < hour.start + HOUR]
        shut = [each for each in judged_at(hours, self.limits, boat) if each.verdict is Verdict.CLOSED]
        return reason_of(shut) if shut else ""
