"""How much water each boat needs at the ramp, along the route and at her mooring, and when there is that much.

The clearance asked for on a falling tide is larger than on a rising one (common practice), so each need is two
levels; her windows are the rising stretches above the one joined with the falling stretches above the other.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import lru_cache
from pathlib import Path

from django.utils.translation import gettext as _

from yard.models import Boat, Mooring, WaterNeed, YardSettings
from yard.planning.problem import WindowSet
from yard.services.read_problem.axis import Axis
from yard.services.read_problem.intervals import Interval, common, minus, union
from yard.tides import open_source
from yard.tides.source import Offsets, TideSource, TideWindow

RAMP, FIELD = "ramp", "field"


@dataclass(frozen=True)
class WaterLevel:
    """Height above the station's datum at `where` that a job needs, on a rising and on a falling tide.

    maximum: the job needs the water to stay below both, as a mast under a bridge.
    """

    where: str
    rising_m: float
    falling_m: float
    maximum: bool = False


def levels_for(
    need: str, boat: Boat, mooring: Mooring | None, yard: YardSettings, *, floated_at_m: float | None
) -> tuple[WaterLevel, ...]:
    """Every level that a job of this boat must keep: enough water to float, and not too much to pass under.

    Raises WaterUnknown, naming the fact that is missing.
    """
    found = (
        level_for(need, boat, mooring, yard, floated_at_m=floated_at_m),
        clearance_for(need, boat, mooring, yard),
    )
    return tuple(level for level in found if level is not None)


def clearance_for(need: str, boat: Boat, mooring: Mooring | None, yard: YardSettings) -> WaterLevel | None:
    """The highest water at which her mast passes under what spans the way to her mooring; None where nothing does.

    The larger of the yard's two margins is kept on either tide (common practice).
    Raises WaterUnknown where the way passes under something and her height above the water is not entered.
    """
    if need not in (WaterNeed.ROUTE, WaterNeed.BELOW_MAXIMUM):
        return None
    underside = mooring.underside_m_above_datum if mooring is not None else None
    if underside is None:
        if need == WaterNeed.BELOW_MAXIMUM:
            raise WaterUnknown(_("the height of what she passes under is not entered"))
        return None
    if boat.mast_height_m is None:
        raise WaterUnknown(_("the height of her mast above the water is unknown"))
    highest = underside - boat.mast_height_m - max(yard.margin_rising_m, yard.margin_falling_m)
    return WaterLevel(FIELD, highest, highest, maximum=True)


def level_for(
    need: str, boat: Boat, mooring: Mooring | None, yard: YardSettings, *, floated_at_m: float | None
) -> WaterLevel | None:
    """The least water that a job of this boat needs; None where it needs none.

    floated_at_m: the gauge where she really floated off, metres above datum, which takes the place of
    toe + trailer + draft.  Raises WaterUnknown, naming the fact that is missing.
    """
    match need:
        case WaterNeed.RAMP:
            base = floated_at_m if floated_at_m is not None else _ramp_base(boat, yard)
            return WaterLevel(RAMP, base + yard.margin_rising_m, base + yard.margin_falling_m)
        case WaterNeed.ROUTE | WaterNeed.MOORING:
            base = _draft(boat) - _least_depth(mooring)
            return WaterLevel(FIELD, base + yard.margin_rising_m, base + yard.margin_falling_m)
        case _:
            return None


class WaterUnknown(Exception):
    """A fact without which the water cannot be judged; the text names it."""


def _draft(boat: Boat) -> float:
    if boat.draft_m is None:
        raise WaterUnknown(_("her draft is unknown"))
    return boat.draft_m


def _ramp_base(boat: Boat, yard: YardSettings) -> float:
    if yard.ramp_toe_m_above_datum is None:
        raise WaterUnknown(_("the ramp's level is not entered (Yard, settings)"))
    return yard.ramp_toe_m_above_datum + (yard.trailer_height_m or 0.0) + _draft(boat)


def _least_depth(mooring: Mooring | None) -> float:
    if mooring is None:
        raise WaterUnknown(_("no mooring is named for her"))
    depths = [d for d in (mooring.depth_m_at_datum, mooring.route_shoalest_m_at_datum) if d is not None]
    if not depths:
        raise WaterUnknown(_("the depth at {mooring} and on the way to it is not entered").format(mooring=mooring))
    return min(depths)


def tide_at(yard: YardSettings, where: str) -> TideSource:
    """The tide of the yard's station, carried to the ramp or to the mooring field by the yard's own offsets."""
    return open_source(yard.tide_station).shifted(_offsets(yard, where))


def _offsets(yard: YardSettings, where: str) -> Offsets:
    if where == RAMP:
        return Offsets(yard.ramp_time_min, yard.ramp_height_m, yard.ramp_ratio)
    return Offsets(yard.mooring_field_time_min, yard.mooring_field_height_m, yard.mooring_field_ratio)


@dataclass
class WaterBook:
    """Every level that some job needs, each once, and its windows on the axis.

    Levels are rounded up to the millimetre (a maximum down), so that boats of one draft share a set.
    """

    yard: YardSettings
    axis: Axis
    levels: dict[WaterLevel, str] = field(default_factory=dict)

    def key_of(self, level: WaterLevel) -> str:
        away = -0.0004999 if level.maximum else 0.0004999
        rounded = replace(level, rising_m=round(level.rising_m + away, 3), falling_m=round(level.falling_m + away, 3))
        name = "under" if level.maximum else "water"
        return self.levels.setdefault(rounded, f"{name}-{level.where}-{rounded.rising_m:.3f}-{rounded.falling_m:.3f}")

    def index_of(self, level: WaterLevel) -> int:
        """Where the level's set stands among the sets of `window_sets`."""
        key = self.key_of(level)
        return list(self.levels.values()).index(key)

    def window_sets(self) -> list[WindowSet]:
        """One set for each level asked for so far, in the order in which they were asked for."""
        made: dict[str, WindowSet] = {}
        for where in (RAMP, FIELD):
            levels = tuple(level for level in self.levels if level.where == where)
            for level, intervals in zip(levels, self._intervals(where, levels), strict=True):
                key = self.levels[level]
                made[key] = WindowSet(key=key, rule="water", intervals=intervals)
        return [made[key] for key in self.levels.values()]

    def _intervals(self, where: str, levels: tuple[WaterLevel, ...]) -> tuple[tuple[Interval, ...], ...]:
        axis, station = self.axis, self.yard.tide_station
        span = axis.timeline.epoch, axis.starts_at, axis.ends_at
        return _windows(station, _stamp(station), _offsets(self.yard, where), span, levels) if levels else ()


def _stamp(station: str) -> tuple[int, ...]:
    """Tells a station's file from what it was before it was changed; a station by its number does not change."""
    try:
        found = Path(station).stat()
    except OSError:
        return ()
    return found.st_mtime_ns, found.st_size


@lru_cache(maxsize=32)
def _windows(
    station: str,
    stamp: tuple[int, ...],
    offsets: Offsets,
    span: tuple[datetime, datetime, datetime],
    levels: tuple[WaterLevel, ...],
) -> tuple[tuple[Interval, ...], ...]:
    """When each level is kept, in minutes since the epoch. span: the epoch, the first and the last instant.

    Kept: the tide goes on as it was foretold, and this was half of the time that reading a season took.
    """
    epoch, starts_at, ends_at = span
    source = open_source(station).shifted(offsets)
    heights = sorted({value for level in levels for value in (level.rising_m, level.falling_m)})
    above = dict(zip(heights, source.windows(starts_at, ends_at, heights), strict=True))
    rising, falling = _turns(source, span)
    whole = ((_minute(epoch, starts_at), _minute(epoch, ends_at)),)
    return tuple(
        minus(whole, union((math.floor(a), math.ceil(b)) for a, b in _spans(epoch, above[level.rising_m])))
        if level.maximum
        else union(
            [
                *common(_inside(epoch, above[level.rising_m]), rising),
                *common(_inside(epoch, above[level.falling_m]), falling),
            ]
        )
        for level in levels
    )


def _inside(epoch: datetime, windows: list[TideWindow]) -> tuple[Interval, ...]:
    """Whole minutes that lie wholly inside each window."""
    return union((math.ceil(starts), math.floor(ends)) for starts, ends in _spans(epoch, windows))


def _spans(epoch: datetime, windows: list[TideWindow]) -> Iterator[tuple[float, float]]:
    """Starts and ends in minutes since the epoch."""
    for window in windows:
        yield (window.starts_at - epoch).total_seconds() / 60, (window.ends_at - epoch).total_seconds() / 60


def _turns(
    source: TideSource, span: tuple[datetime, datetime, datetime]
) -> tuple[tuple[Interval, ...], tuple[Interval, ...]]:
    """When the tide rises and when it falls; touching stretches share the minute of the turn."""
    epoch, starts_at, ends_at = span
    turns = [(_minute(epoch, event.at), event.kind) for event in source.events(starts_at, ends_at)]
    edges = [_minute(epoch, starts_at), *(minute for minute, _ in turns), _minute(epoch, ends_at)]
    begins_rising = bool(turns) and turns[0][1] == "high"
    rising = [pair for index, pair in enumerate(itertools.pairwise(edges)) if (index % 2 == 0) == begins_rising]
    falling = [pair for index, pair in enumerate(itertools.pairwise(edges)) if (index % 2 == 0) != begins_rising]
    return union(rising), union(falling)


def _minute(epoch: datetime, at: datetime) -> int:
    return round((at - epoch).total_seconds() / 60)
