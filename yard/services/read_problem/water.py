"""How much water each boat needs at the ramp, along the route and at her mooring, and when there is that much.

The clearance asked for on a falling tide is larger than on a rising one (common practice), so each need is two
levels; her windows are the rising stretches above the one joined with the falling stretches above the other.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field

from yard.models import Boat, Mooring, WaterNeed, YardSettings
from yard.planning.problem import WindowSet
from yard.services.read_problem.axis import Axis
from yard.services.read_problem.intervals import Interval, common, union
from yard.tides import open_source
from yard.tides.source import Offsets, TideSource, TideWindow

RAMP, FIELD = "ramp", "field"


@dataclass(frozen=True)
class WaterLevel:
    """Height above the station's datum at `where` that a job needs, on a rising and on a falling tide.

    maximum: the job needs the water to stay below `rising_m`, as a mast under a bridge.
    """

    where: str
    rising_m: float
    falling_m: float
    maximum: bool = False


def level_for(
    need: str, boat: Boat, mooring: Mooring | None, yard: YardSettings, *, floated_at_m: float | None
) -> WaterLevel | None:
    """The water that a job of this boat needs; None where it needs none.

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
        case WaterNeed.BELOW_MAXIMUM:
            raise WaterUnknown("the height of what she passes under is not entered")
        case _:
            return None


class WaterUnknown(Exception):
    """A fact without which the water cannot be judged; the text names it."""


def _draft(boat: Boat) -> float:
    if boat.draft_m is None:
        raise WaterUnknown("her draft is unknown")
    return boat.draft_m


def _ramp_base(boat: Boat, yard: YardSettings) -> float:
    if yard.ramp_toe_m_above_datum is None:
        raise WaterUnknown("the ramp's level is not entered (Yard, settings)")
    return yard.ramp_toe_m_above_datum + (yard.trailer_height_m or 0.0) + _draft(boat)


def _least_depth(mooring: Mooring | None) -> float:
    if mooring is None:
        raise WaterUnknown("no mooring is named for her")
    depths = [d for d in (mooring.depth_m_at_datum, mooring.route_shoalest_m_at_datum) if d is not None]
    if not depths:
        raise WaterUnknown(f"the depth at {mooring} and on the way to it is not entered")
    return min(depths)


def tide_at(yard: YardSettings, where: str) -> TideSource:
    """The tide of the yard's station, carried to the ramp or to the mooring field by the yard's own offsets."""
    source = open_source(yard.tide_station)
    if where == RAMP:
        return source.shifted(Offsets(yard.ramp_time_min, yard.ramp_height_m, yard.ramp_ratio))
    return source.shifted(Offsets(yard.mooring_field_time_min, yard.mooring_field_height_m, yard.mooring_field_ratio))


@dataclass
class WaterBook:
    """Every level that some job needs, each once, and its windows on the axis.

    Levels are rounded up to the millimetre, so that boats of one draft share a set.
    """

    yard: YardSettings
    axis: Axis
    levels: dict[WaterLevel, str] = field(default_factory=dict)

    def key_of(self, level: WaterLevel) -> str:
        rounded = WaterLevel(
            level.where, round(level.rising_m + 0.0004999, 3), round(level.falling_m + 0.0004999, 3), level.maximum
        )
        return self.levels.setdefault(rounded, f"water-{rounded.where}-{rounded.rising_m:.3f}-{rounded.falling_m:.3f}")

    def index_of(self, level: WaterLevel) -> int:
        """Where the level's set stands among the sets of `window_sets`."""
        key = self.key_of(level)
        return list(self.levels.values()).index(key)

    def window_sets(self) -> list[WindowSet]:
        """One set for each level asked for so far, in the order in which they were asked for."""
        made: dict[str, WindowSet] = {}
        for where in (RAMP, FIELD):
            levels = [level for level in self.levels if level.where == where]
            if levels:
                made |= self._sets_at(where, levels)
        return [made[key] for key in self.levels.values()]

    def _sets_at(self, where: str, levels: list[WaterLevel]) -> dict[str, WindowSet]:
        source = tide_at(self.yard, where)
        starts, ends = self.axis.starts_at, self.axis.ends_at
        heights = sorted({value for level in levels for value in (level.rising_m, level.falling_m)})
        windows = source.windows(starts, ends, heights)
        above = {height: self._minutes(found) for height, found in zip(heights, windows, strict=True)}
        rising, falling = self._turns(source)
        return {
            self.levels[level]: WindowSet(
                key=self.levels[level],
                rule="water",
                intervals=union([*common(above[level.rising_m], rising), *common(above[level.falling_m], falling)]),
            )
            for level in levels
        }

    def _minutes(self, windows: list[TideWindow]) -> tuple[Interval, ...]:
        """Whole minutes that lie wholly inside each window."""
        epoch = self.axis.timeline.epoch
        found = []
        for window in windows:
            begins = -(-(window.starts_at - epoch).total_seconds() // 60)
            ends = (window.ends_at - epoch).total_seconds() // 60
            found.append((int(begins), int(ends)))
        return union(found)

    def _turns(self, source: TideSource) -> tuple[tuple[Interval, ...], tuple[Interval, ...]]:
        """When the tide rises and when it falls; touching stretches share the minute of the turn."""
        first, last = self.axis.minute(self.axis.starts_at), self.axis.minute(self.axis.ends_at)
        turns = [
            (round((event.at - self.axis.timeline.epoch).total_seconds() / 60), event.kind)
            for event in source.events(self.axis.starts_at, self.axis.ends_at)
        ]
        edges = [first, *(minute for minute, _ in turns), last]
        begins_rising = bool(turns) and turns[0][1] == "high"
        rising = [pair for index, pair in enumerate(itertools.pairwise(edges)) if (index % 2 == 0) == begins_rising]
        falling = [pair for index, pair in enumerate(itertools.pairwise(edges)) if (index % 2 == 0) != begins_rising]
        return union(rising), union(falling)
