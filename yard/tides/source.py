"""What every source of tides gives, whatever it is made of: heights, high and low waters, windows.

A tide here is the astronomical tide only. Wind, pressure and river flow are not in it.
Times are UTC; heights are metres above the datum that the source names; intervals are half-open.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from math import isfinite
from typing import Final, Literal, Protocol, runtime_checkable

import numpy as np
from numpy.typing import NDArray

from yard.speech import _, gettext_noop

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
Kind = Literal["high", "low"]

ASTRONOMICAL_ONLY: Final = gettext_noop("Predicted tides leave out wind, pressure and river flow: read the gauge.")
UNIX_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)
TIME_DECIMALS: Final = 3
"""Times that leave this package are rounded to the millisecond, so that one event found twice is one event."""


class TideError(ValueError):
    """Something asked of the tides cannot be answered; the text says what and how to mend it."""


class OutsideTable(TideError):
    """A time lies outside what a table of high and low waters covers."""


@dataclass(frozen=True, slots=True)
class TideEvent:
    """A high or low water: when (UTC) and how high (metres above the source's datum)."""

    at: datetime
    height_m: float
    kind: Kind


@dataclass(frozen=True, slots=True)
class TideWindow:
    """A time [starts_at, ends_at) during which the water is at or above a level (or below it).

    opens_before: it was already so when the span asked for began; starts_at is that span's start.
    closes_after: it was still so when the span ended; ends_at is that span's end.
    """

    starts_at: datetime
    ends_at: datetime
    opens_before: bool = False
    closes_after: bool = False

    @property
    def duration(self) -> timedelta:
        return self.ends_at - self.starts_at


@dataclass(frozen=True, slots=True)
class Offsets:
    """How the tide at the yard's own place differs from the station's.

    height there at t = ratio x (station's height at t - time_min) + height_m, above the station's datum.
    time_min: minutes, positive where the tide comes later. Raises TideError for values that cannot be.
    """

    time_min: float = 0.0
    height_m: float = 0.0
    ratio: float = 1.0

    def __post_init__(self) -> None:
        if not all(map(isfinite, (self.time_min, self.height_m, self.ratio))):
            raise TideError(_("offsets must be finite numbers"))
        if self.ratio <= 0:
            raise TideError(_("the ratio of heights must be above 0, not {ratio}").format(ratio=self.ratio))
        if abs(self.time_min) > 24 * 60:
            raise TideError(
                _("a time offset is at most 24 hours, not {time_min} minutes").format(time_min=self.time_min)
            )


@runtime_checkable
class TideSource(Protocol):
    """A place's tide: from harmonic constants, from a reference station, or from an official table."""

    @property
    def name(self) -> str: ...

    @property
    def datum(self) -> str:
        """What heights are measured from, such as "MLLW"."""

    @property
    def zone(self) -> str:
        """The place's time zone, an IANA name; for people's eyes only, all times are UTC."""

    @property
    def method(self) -> str:
        """How heights and events are made, in words."""

    @property
    def left_out(self) -> tuple[str, ...]:
        """Constituents that the station has and the prediction leaves out; usually none."""

    @property
    def warnings(self) -> tuple[str, ...]:
        """What a person must be told beside every height of this source."""

    def heights_m(self, times: FloatArray) -> FloatArray:
        """Height at each time.

        times: seconds since 1970-01-01 00:00 UTC, shape (n,), any order.
        Returns metres above datum, shape (n,). Raises TideError for times that have no tide.
        """

    def events(self, starts_at: datetime, ends_at: datetime) -> list[TideEvent]:
        """High and low waters in [starts_at, ends_at), in order. Both ends carry a time zone."""

    def windows(
        self, starts_at: datetime, ends_at: datetime, levels_m: Sequence[float], above: bool = True
    ) -> list[list[TideWindow]]:
        """When the water stands at or above each level, or, with above=False, below it.

        levels_m: metres above datum. One list for each level, in their order, each in order of time.
        A window that reaches over an end of the span is cut there and flagged.
        """

    def shifted(self, offsets: Offsets) -> TideSource:
        """This tide with a yard's own offsets."""


def utc(at: datetime) -> datetime:
    """The same instant in UTC, where adding hours adds real hours. Raises TideError for a time without a zone."""
    if at.tzinfo is None:
        raise TideError(_("{at} has no time zone: tides are asked for in UTC or with a zone").format(at=at.isoformat()))
    return at.astimezone(UTC)


def seconds_of(at: datetime) -> float:
    """Seconds since 1970-01-01 UTC. Raises TideError for a time without a zone."""
    return (utc(at) - UNIX_EPOCH).total_seconds()


def datetimes_of(seconds: FloatArray) -> list[datetime]:
    """UTC times, to the millisecond. seconds: since 1970, shape (n,)."""
    return [datetime.fromtimestamp(each, UTC) for each in np.round(seconds, TIME_DECIMALS).tolist()]


def datetime_of(seconds: float) -> datetime:
    """The UTC time, to the millisecond."""
    return datetime.fromtimestamp(round(seconds, TIME_DECIMALS), UTC)


def span_of(starts_at: datetime, ends_at: datetime) -> tuple[float, float]:
    """Both ends in seconds. Raises TideError if the end comes before the start."""
    begin, end = seconds_of(starts_at), seconds_of(ends_at)
    if end < begin:
        raise TideError(
            _("the span ends at {ends_at}, before it starts at {starts_at}").format(
                ends_at=ends_at.isoformat(), starts_at=starts_at.isoformat()
            )
        )
    return begin, end


def times_of(times: FloatArray) -> FloatArray:
    """Times as a flat array of floats. Raises TideError for another shape or a time that is not finite."""
    flat = np.ascontiguousarray(times, dtype=np.float64)
    if flat.ndim != 1 or not np.isfinite(flat).all():
        raise TideError(_("times are a flat array of finite seconds since 1970-01-01 UTC"))
    return flat


def levels_of(levels_m: Sequence[float]) -> FloatArray:
    """Levels as an array, shape (levels,). Raises TideError for a level that is not a finite number."""
    levels = np.asarray(levels_m, dtype=np.float64)
    if levels.ndim != 1:
        raise TideError(_("levels are a flat list of heights in metres"))
    if not np.isfinite(levels).all():
        raise TideError(_("a level must be a finite height in metres"))
    return levels


def events_of(times: FloatArray, heights: FloatArray, highs: BoolArray, begin: float, end: float) -> list[TideEvent]:
    """Events as people read them, those in [begin, end) alone. Arrays have shape (n,), times ascending."""
    times = np.round(times, TIME_DECIMALS)
    inside = (times >= begin) & (times < end)
    rows = zip(datetimes_of(times[inside]), heights[inside].tolist(), highs[inside].tolist(), strict=True)
    return [TideEvent(at, height, "high" if high else "low") for at, height, high in rows]


def windows_of(flips: FloatArray, starts_inside: bool, starts_at: datetime, ends_at: datetime) -> list[TideWindow]:
    """Windows between the times at which the water passes a level.

    flips: seconds, shape (n,), ascending, within the span; starts_inside: whether a window is open at
    its start. A window that is cut has the span's own end, not a rounded one.
    """
    stamps = datetimes_of(flips)
    if starts_inside:
        stamps.insert(0, utc(starts_at))
    closes_after = len(stamps) % 2 == 1
    if closes_after:
        stamps.append(utc(ends_at))
    last = len(stamps) - 2
    return [
        TideWindow(stamps[i], stamps[i + 1], starts_inside and i == 0, closes_after and i == last)
        for i in range(0, len(stamps), 2)
        if stamps[i] < stamps[i + 1]
    ]
