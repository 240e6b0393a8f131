"""The tide at the ramp as the pages read it: highs and lows, the light, and when there is water for a boat.

Heights are read minute by minute. What a boat needs depends on whether the water rises or falls, so each minute has
a spare height: the water less the yard's margin for that minute. A boat floats while it is not below her base.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np
from django.utils.translation import gettext as _
from numpy.typing import NDArray

from yard.models import YardSettings
from yard.pictures.launch_list_input import Light
from yard.pictures.shapes import Span
from yard.services.read_problem import tide_at
from yard.tides.daylight import LightRule, LightWindow, SunTime, daylight, working_light
from yard.tides.source import TideError, TideEvent, TideSource
from yard.web.units import at_minute

FLOAT_OFF_MIN = 30
"""Minutes of water asked for to float a boat off: as the kind `launch` has them (common practice)."""
ROUNDING_M = 0.001
"""The planner's levels are rounded up to the millimetre."""
BESIDE_MIN = 60
"""A day of tides is 24 h 50 min: with an hour at both ends no day is short of a tide."""
TURN_DAYS = 4
"""Springs and neaps are the greatest and the least range of the days this far to either side."""

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True)
class NoTide:
    """Why there is no tide to show, and what to do."""

    reason: str


@dataclass(frozen=True)
class DayLight:
    """The light of a day. works: the yard's working light, if there is any. known: the yard's place is entered."""

    sunrise: datetime | None
    sunset: datetime | None
    dawn: datetime | None
    dusk: datetime | None
    works: LightWindow | None
    known: bool

    def at(self, moment: datetime) -> Light:
        """Where the yard's place is not known, every tide counts as in light; the page says so."""
        if not self.known or (self.works and self.works.starts_at <= moment < self.works.ends_at):
            return Light.LIGHT
        twilight = self.dawn is not None and self.dusk is not None and self.dawn <= moment < self.dusk
        return Light.DUSK if twilight else Light.DARK


def tide_of(yard: YardSettings, where: str = "ramp") -> TideSource | NoTide:
    """The tide at the ramp ("ramp") or the mooring field ("field")."""
    if not yard.tide_station:
        return NoTide(
            _("No tide station is chosen yet, so the water is not known. It is chosen in the yard's settings.")
        )
    try:
        return tide_at(yard, where)
    except TideError as error:
        return NoTide(_("The tide cannot be read: {why}").format(why=error))


def light_of(yard: YardSettings, day: date) -> DayLight:
    if yard.latitude is None or yard.longitude is None:
        return DayLight(None, None, None, None, None, known=False)
    light = daylight(yard.latitude, yard.longitude, day, yard.time_zone)
    rule = LightRule(
        civil=yard.light_rule == YardSettings.Light.CIVIL,
        after_start_min=-yard.light_margin_min,
        before_end_min=-yard.light_margin_min,
    )
    return DayLight(
        sunrise=_moment(light.sunrise),
        sunset=_moment(light.sunset),
        dawn=_moment(light.civil_dawn),
        dusk=_moment(light.civil_dusk),
        works=working_light(light, rule),
        known=True,
    )


def _moment(at: SunTime) -> datetime | None:
    return at if isinstance(at, datetime) else None


def events_on(source: TideSource, day: date) -> list[TideEvent]:
    """High and low waters of a day of the yard's calendar."""
    return source.events(at_minute(day, 0), at_minute(day, 1440))


def heights_at(source: TideSource, day: date, minutes: Sequence[int]) -> FloatArray:
    """Heights, metres above datum, when the yard's clock shows these minutes of the day. Shape (minutes,)."""
    return source.heights_m(instants_of(day, minutes))


def heights_of_stretches(source: TideSource, stretches: Sequence[FloatArray]) -> list[FloatArray]:
    """Metres above datum in each of some stretches of whole minutes (seconds since 1970), shape (n,) each.

    One reading of every minute from the first to the last: to begin a reading costs more than the minutes between.
    """
    if not stretches:
        return []
    begins = min(float(each.min()) for each in stretches)
    ends = max(float(each.max()) for each in stretches)
    heights = source.heights_m(np.arange(begins, ends + 30.0, 60.0))
    return [heights[np.rint((each - begins) / 60.0).astype(np.intp)] for each in stretches]


def instants_of(day: date, minutes: Sequence[int]) -> FloatArray:
    """Seconds since 1970 when the yard's clock shows these minutes of the day. Shape (minutes,).

    Where the clock is not changed between the first and the last, all follow from the first.
    """
    if not len(minutes):
        return np.empty(0)
    each = _array(minutes)
    first, last = int(each.min()), int(each.max())
    begins = at_minute(day, first)
    if at_minute(day, last) - begins == timedelta(minutes=last - first):
        return begins.timestamp() + 60.0 * (each - first)
    return np.array([at_minute(day, minute).timestamp() for minute in minutes])


def _array(minutes: Sequence[int]) -> FloatArray:
    """The same numbers; a range that is read one by one takes as long as the tide itself."""
    if isinstance(minutes, range):
        return np.arange(minutes.start, minutes.stop, minutes.step, dtype=np.float64)
    return np.asarray(minutes, dtype=np.float64)


def spare_m(heights: FloatArray, yard: YardSettings) -> FloatArray:
    """The water less the margin asked for while it rises or falls, metres. heights: one a minute, shape (n,)."""
    rising = np.gradient(heights) >= 0
    return heights - np.where(rising, yard.margin_rising_m, yard.margin_falling_m)


def runs_of(holds: Sequence[bool] | BoolArray) -> list[tuple[int, int]]:
    """Stretches [first, last] of indices at which it holds; the last index is inside."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], np.asarray(holds, dtype=np.int8), [0]))))
    return [(int(first), int(last) - 1) for first, last in zip(edges[::2], edges[1::2], strict=True)]


def best_base_m(spare: FloatArray, may: BoolArray) -> float | None:
    """The highest base that has FLOAT_OFF_MIN minutes in a row where `may`; None where no stretch is that long."""
    usable = np.where(may, spare, -np.inf)
    if len(usable) <= FLOAT_OFF_MIN:
        return None
    least = np.lib.stride_tricks.sliding_window_view(usable, FLOAT_OFF_MIN + 1).min(axis=1)
    best = float(least.max())
    return best if np.isfinite(best) else None


def windows_on(source: TideSource, yard: YardSettings, day: date, base_m: float) -> list[Span]:
    """When on that day a boat of this base has her water, by whole minutes of the yard's clock."""
    minutes = range(-1, 1442)  # a minute beyond either end tells whether the water rises or falls there
    enough = spare_m(heights_at(source, day, minutes), yard)[1:-1] >= base_m - ROUNDING_M
    return [Span(first, last) for first, last in runs_of(enough) if last > first]


def springs_and_neaps(source: TideSource, first: date, count: int) -> dict[date, str]:
    """ "springs" or "neaps", as people read it, for the days whose range is the greatest or the least about them."""
    days = [first + timedelta(days=step) for step in range(-TURN_DAYS, count + TURN_DAYS)]
    events = source.events(at_minute(days[0], -BESIDE_MIN), at_minute(days[-1], 1440 + BESIDE_MIN))
    ranges = [_range_m(events, at_minute(day, -BESIDE_MIN), at_minute(day, 1440 + BESIDE_MIN)) for day in days]
    found = {}
    for place in range(TURN_DAYS, TURN_DAYS + count):
        around = ranges[place - TURN_DAYS : place + TURN_DAYS + 1]
        if ranges[place] == max(around):
            found[days[place]] = _("springs")
        elif ranges[place] == min(around):
            found[days[place]] = _("neaps")
    return found


def _range_m(events: Sequence[TideEvent], starts_at: datetime, ends_at: datetime) -> float:
    heights = [event.height_m for event in events if starts_at <= event.at < ends_at]
    return max(heights) - min(heights) if heights else 0.0
