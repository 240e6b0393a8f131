"""Tides and light of a place: heights, high and low waters, windows over a level, daylight. No Django here.

The tide predicted is the astronomical one alone: wind, pressure and river flow are not in it.
"""

from yard.tides.opening import open_source
from yard.tides.source import (
    ASTRONOMICAL_ONLY,
    Offsets,
    OutsideTable,
    TideError,
    TideEvent,
    TideSource,
    TideWindow,
)

__all__ = [
    "ASTRONOMICAL_ONLY",
    "Offsets",
    "OutsideTable",
    "TideError",
    "TideEvent",
    "TideSource",
    "TideWindow",
    "open_source",
]
