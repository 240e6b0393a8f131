"""The one internal row of a forecast: an hour, and what is known of it. What is missing is None: never 0."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from itertools import pairwise
from typing import Any

import msgspec

HOUR = timedelta(hours=1)


class Provider(StrEnum):
    """Those that answer over the network."""

    NWS = "nws"
    METNO = "metno"
    OPEN_METEO = "open_meteo"


class ForecastNotRead(Exception):
    """A forecast did not come or cannot be read; `reason` is for a person.

    permanent: asking again brings the same (a changed format, a refused key); else the next fetch may do.
    """

    def __init__(self, reason: str, permanent: bool) -> None:
        super().__init__(reason)
        self.reason = reason
        self.permanent = permanent


# What a row may hold, lowest and highest; anything beyond is a provider's sentinel or a slip, so it is
# missing. Common practice, set wide: the record gust at the ground is 220 kn, rain 305 mm in an hour (WMO,
# from memory).
PLAUSIBLE = {
    "wind_kn": (0.0, 220.0),
    "gust_kn": (0.0, 220.0),
    "wind_from_deg": (0.0, 360.0),
    "rain_mm": (0.0, 305.0),
    "pop": (0.0, 100.0),
    "temp_c": (-90.0, 60.0),
    "dew_c": (-100.0, 40.0),
    "rh": (0.0, 100.0),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Hour:
    """The hour [start, start + 1 h).

    start: UTC, on the hour. wind_kn, gust_kn: knots at 10 m; wind_from_deg: degrees true that it blows from.
    rain_mm: water in this hour. pop: probability of rain in per cent, of the whole interval that it was given
    for. temp_c, dew_c: Celsius. rh: per cent. thunder: whether any is forecast.
    """

    start: datetime
    wind_kn: float | None = None
    gust_kn: float | None = None
    wind_from_deg: float | None = None
    rain_mm: float | None = None
    pop: float | None = None
    temp_c: float | None = None
    dew_c: float | None = None
    rh: float | None = None
    thunder: bool | None = None

    def __post_init__(self) -> None:
        if self.start.tzinfo is not UTC or (self.start.minute, self.start.second) != (0, 0):
            raise ValueError(f"an hour starts on the hour in UTC, not at {self.start.isoformat()}")
        for name, (low, high) in PLAUSIBLE.items():
            value = getattr(self, name)
            if value is not None and not low <= value <= high:
                raise ValueError(f"{name} is {value}; it is {low:g} to {high:g}")


@dataclass(frozen=True, slots=True)
class Forecast:
    """A forecast as read: hours in order, each once, gaps allowed; updated_at is None where not told."""

    provider: str
    updated_at: datetime | None
    hours: tuple[Hour, ...]

    def __post_init__(self) -> None:
        if any(a.start >= b.start for a, b in pairwise(self.hours)):
            raise ValueError("the hours of a forecast stand in order, each once")


def hours_as_rows(hours: Iterable[Hour]) -> list[dict[str, Any]]:
    """Hours as plain values for a JSON column: field by field, the start in ISO 8601, missing ones left out."""
    return [{name: value for name, value in msgspec.to_builtins(hour).items() if value is not None} for hour in hours]


def hours_from_rows(rows: Sequence[Mapping[str, Any]]) -> tuple[Hour, ...]:
    """The hours again. Raises ValueError, naming the row and field, where a row is not one."""
    return msgspec.convert(rows, tuple[Hour, ...])


def is_newer(fresh: Forecast, known: Forecast | None) -> bool:
    """Whether a body just read replaces the one known: some servers send the old one again regardless."""
    if known is None or fresh.updated_at is None or known.updated_at is None:
        return True
    return fresh.updated_at > known.updated_at
