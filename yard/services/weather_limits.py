"""The yard's own limits of wind for outdoor work, over the defaults of yard.weather."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from yard.models import YardSettings
from yard.weather.limits import LIMITS, Limits, WorkKind

EDITED = ("wind_kn", "gust_kn")


def limits_of(yard: YardSettings) -> Mapping[WorkKind, Limits]:
    """What each kind of work bears at this yard: the defaults, with the winds that it has set itself."""
    own: Mapping[str, Mapping[str, float]] = yard.weather_limits
    return {kind: _with(limits, own.get(kind, {})) for kind, limits in LIMITS.items()}


def _with(limits: Limits, own: Mapping[str, float]) -> Limits:
    return replace(limits, wind_kn=own.get("wind_kn", limits.wind_kn), gust_kn=own.get("gust_kn", limits.gust_kn))
