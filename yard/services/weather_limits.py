"""The yard's own limits of wind for outdoor work, over the defaults of yard.weather."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from yard.models import YardSettings
from yard.weather.limits import LIMITS, Limits, WorkKind

EDITED = ("wind_kn", "gust_kn")


def limits_of(yard: YardSettings) -> Mapping[WorkKind, Limits]:
    """What each kind of work bears at this yard: the defaults, with the winds that it has set itself."""
    own: Mapping[str, Mapping[str, Any]] = yard.weather_limits
    return {
        kind: replace(limits, **{name: float(value) for name, value in own.get(kind, {}).items() if name in EDITED})
        for kind, limits in LIMITS.items()
    }
