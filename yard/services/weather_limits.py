"""The yard's own limits of wind, warmth and damp for outdoor work, over the defaults of yard.weather."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from yard.models import WeatherClass, YardSettings
from yard.weather.limits import LIMITS, Limits, WorkKind

WORK_OF: Mapping[str, WorkKind] = {
    WeatherClass.SAILS: WorkKind.SAILS_AND_COVERS,
    WeatherClass.PATTERN: WorkKind.PATTERN,
    WeatherClass.MAST: WorkKind.MAST,
    WeatherClass.AFLOAT: WorkKind.AFLOAT,
    WeatherClass.COATING: WorkKind.COATING,
    WeatherClass.WASH: WorkKind.WASH,
}
EDITED = ("wind_kn", "gust_kn", "above_temp_c", "min_temp_c", "max_temp_c", "below_rh")


def limits_of(yard: YardSettings) -> Mapping[WorkKind, Limits]:
    """What each kind of work bears at this yard: the defaults, with what it has set itself."""
    own: Mapping[str, Mapping[str, float]] = yard.weather_limits
    return {kind: _with(limits, own.get(kind, {})) for kind, limits in LIMITS.items()}


def _with(limits: Limits, own: Mapping[str, float]) -> Limits:
    return replace(
        limits,
        wind_kn=own.get("wind_kn", limits.wind_kn),
        gust_kn=own.get("gust_kn", limits.gust_kn),
        above_temp_c=own.get("above_temp_c", limits.above_temp_c),
        min_temp_c=own.get("min_temp_c", limits.min_temp_c),
        max_temp_c=own.get("max_temp_c", limits.max_temp_c),
        below_rh=own.get("below_rh", limits.below_rh),
    )
