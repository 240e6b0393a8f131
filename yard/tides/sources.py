"""The three kinds of tide source: harmonic, subordinate and tabulated."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

import numpy as np

from yard.speech import _, number
from yard.tides.cosine import CosineCurve
from yard.tides.differences import Differences
from yard.tides.harmonic import HarmonicTide
from yard.tides.roots import Crossings, Extremes, crossings_of, extremes_of, nodes_of_span
from yard.tides.shifted import Shiftable
from yard.tides.small_tides import without_tiny_pairs
from yard.tides.source import (
    ASTRONOMICAL_ONLY,
    FloatArray,
    OutsideTable,
    TideEvent,
    TideWindow,
    datetime_of,
    events_of,
    levels_of,
    span_of,
    times_of,
    windows_of,
)

DAY_S: Final = 86400.0
PAD_S: Final = 3 * DAY_S
"""Looked at beyond a span, so that what is found inside does not hang on where the span was cut."""


class _Windowed(Shiftable):
    """Windows out of crossings, the same way for every kind."""

    @abstractmethod
    def crossings(self, levels_m: FloatArray, begin: float, end: float) -> Crossings:
        """Where the water passes each level in [begin, end), seconds; begin < end."""

    def windows(
        self, starts_at: datetime, ends_at: datetime, levels_m: Sequence[float], above: bool = True
    ) -> list[list[TideWindow]]:
        """See TideSource.windows."""
        begin, end = span_of(starts_at, ends_at)
        levels = levels_of(levels_m)
        if begin == end or not len(levels):
            return [[] for _ in levels]
        found = self.crossings(levels, begin, end)
        inside = found.starts_at_or_above == above
        pairs = zip(found.flips, inside, strict=True)
        return [windows_of(flips, bool(starts_inside), starts_at, ends_at) for flips, starts_inside in pairs]


class _Curved(_Windowed):
    """Heights and crossings of a cosine curve through high and low waters."""

    @abstractmethod
    def curve(self, begin: float, end: float) -> CosineCurve:
        """A curve that covers [begin, end], seconds."""

    def heights_m(self, times: FloatArray) -> FloatArray:
        """See TideSource.heights_m."""
        times = times_of(times)
        if not len(times):
            return np.empty(0)
        return self.curve(float(times.min()), float(times.max())).heights_m(times)

    def crossings(self, levels_m: FloatArray, begin: float, end: float) -> Crossings:
        return self.curve(begin, end).crossings(levels_m, begin, end)


@dataclass(frozen=True)
class HarmonicSource(_Windowed):
    """A station with harmonic constants: heights, extremes and windows are exact to the model.

    left_out: constituents it has beyond the 37 of constituents.py. off_m: how far heights are off without them, usually
    and at worst; None where none is left out.
    """

    name: str
    datum: str
    zone: str
    tide: HarmonicTide
    left_out: tuple[str, ...] = ()
    off_m: tuple[float, float] | None = None

    @property
    def warnings(self) -> tuple[str, ...]:
        if self.off_m is None:
            return (_(ASTRONOMICAL_ONLY),)
        usual, most = self.off_m
        off = _(
            "{name} has {count} constituents that are left out: heights are usually within {usual_m} m "
            "of the full prediction, at worst {most_m} m off."
        ).format(name=self.name, count=len(self.left_out), usual_m=number(usual, 2), most_m=number(most, 2))
        return (_(ASTRONOMICAL_ONLY), off)

    @property
    def method(self) -> str:
        return _("harmonic prediction; lists of high and low waters leave out double tides under 0.1 ft and 2 h")

    def heights_m(self, times: FloatArray) -> FloatArray:
        """See TideSource.heights_m."""
        return self.tide.heights_m(times)

    def extremes(self, begin: float, end: float) -> Extremes:
        """Extremes of [begin, end) in seconds and of a day to either side, without tiny double tides."""
        return without_tiny_pairs(extremes_of(nodes_of_span(self.tide, begin - DAY_S, end + DAY_S)))

    def events(self, starts_at: datetime, ends_at: datetime) -> list[TideEvent]:
        """See TideSource.events."""
        begin, end = span_of(starts_at, ends_at)
        found = self.extremes(begin, end)
        return events_of(found.times, found.heights_m, found.highs, begin, end)

    def crossings(self, levels_m: FloatArray, begin: float, end: float) -> Crossings:
        return crossings_of(nodes_of_span(self.tide, begin, end), levels_m)


@dataclass(frozen=True)
class SubordinateSource(_Curved):
    """A station known by its differences from a reference: its high and low waters, cosines between them."""

    name: str
    datum: str
    zone: str
    reference: HarmonicSource
    differences: Differences

    @property
    def method(self) -> str:
        return _("high and low waters by offsets from {reference}, heights between them by the cosine method").format(
            reference=self.reference.name
        )

    @property
    def left_out(self) -> tuple[str, ...]:
        return self.reference.left_out

    @property
    def warnings(self) -> tuple[str, ...]:
        return (
            *self.reference.warnings,
            _("Between high and low water heights are approximate: {method}.").format(method=self.method),
        )

    def extremes(self, begin: float, end: float) -> Extremes:
        """Extremes of [begin, end) in seconds and of a day or more to either side."""
        pad = DAY_S + self.differences.longest_s
        return self.differences.apply(self.reference.extremes(begin - pad, end + pad))

    def events(self, starts_at: datetime, ends_at: datetime) -> list[TideEvent]:
        """See TideSource.events."""
        begin, end = span_of(starts_at, ends_at)
        found = self.extremes(begin, end)
        return events_of(found.times, found.heights_m, found.highs, begin, end)

    def curve(self, begin: float, end: float) -> CosineCurve:
        return CosineCurve(self.extremes(begin - PAD_S, end + PAD_S))


@dataclass(frozen=True)
class TableSource(_Curved):
    """An official table of high and low waters, cosines between them; nothing beyond its ends.

    extremes: the table's rows, times strictly ascending, high and low in turn.
    """

    name: str
    datum: str
    zone: str
    extremes: Extremes
    left_out: tuple[str, ...] = ()

    @property
    def method(self) -> str:
        return _("a table of high and low waters, heights between them by the cosine method")

    @property
    def warnings(self) -> tuple[str, ...]:
        return (
            _(ASTRONOMICAL_ONLY),
            _("Between high and low water heights are approximate: {method}.").format(method=self.method),
        )

    def events(self, starts_at: datetime, ends_at: datetime) -> list[TideEvent]:
        """The table's rows in [starts_at, ends_at). Raises OutsideTable if the span leaves the days of the table."""
        begin, end = span_of(starts_at, ends_at)
        known = self.extremes
        # A day's first and last rows lie inside the day: half a day of grace lets whole days be asked for.
        self._check_covered(begin + DAY_S / 2, max(begin, end - DAY_S / 2))
        return events_of(known.times, known.heights_m, known.highs, begin, end)

    def curve(self, begin: float, end: float) -> CosineCurve:
        self._check_covered(begin, end)
        return CosineCurve(self.extremes)

    def _check_covered(self, begin: float, end: float) -> None:
        first, last = float(self.extremes.times[0]), float(self.extremes.times[-1])
        if begin < first or end > last:
            raise OutsideTable(
                _(
                    "the table of {name} runs from {first} to {last} UTC and does not cover {begin} to {end}: "
                    "add the missing rows or ask for less"
                ).format(name=self.name, first=_at(first), last=_at(last), begin=_at(begin), end=_at(end))
            )


def _at(seconds: float) -> str:
    return f"{datetime_of(seconds):%Y-%m-%d %H:%M}"
