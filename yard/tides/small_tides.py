"""Tiny double tides, which official tables leave out.

NOAA's tables omit a high and low water that follow each other with hardly any difference. Seen in NOAA's
answers: pairs 57 to 106 minutes apart, 2.1 cm at most, are missing. The rule kept here is the tabulator's:
a pair less than 2 hours apart and less than 0.1 ft different is left out (common practice, from memory).
Only lists of high and low waters leave them out; heights and windows of a harmonic station keep them.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from yard.tides.roots import Extremes
from yard.tides.source import FloatArray

LEAST_DIFFERENCE_M: Final = 0.1 * 0.3048
LEAST_APART_S: Final = 2 * 3600.0


def without_tiny_pairs(extremes: Extremes) -> Extremes:
    """The extremes without tiny double tides; high and low still take turns.

    The pair with the least difference goes first, so of two neighbouring highs the higher stays.
    """
    times, heights, highs = extremes.times, extremes.heights_m, extremes.highs
    while len(times) > 1:
        apart, difference = np.diff(times), np.abs(np.diff(heights))
        tiny = (apart < LEAST_APART_S) & (difference < LEAST_DIFFERENCE_M)
        if not tiny.any():
            break
        pair = _separate(np.where(tiny, difference, np.inf))
        times, heights, highs = np.delete(times, pair), np.delete(heights, pair), np.delete(highs, pair)
    return Extremes(times, heights, highs)


def in_order_of_time(extremes: Extremes) -> Extremes:
    """The extremes without pairs whose order in time was turned round by unequal offsets.

    A subordinate station's high may be moved past the low that followed it; such a pair is a double tide
    too small to have offsets of its own.
    """
    times, heights, highs = extremes.times, extremes.heights_m, extremes.highs
    while len(times) > 1 and (np.diff(times) <= 0).any():
        pair = _separate(np.where(np.diff(times) <= 0, np.diff(times), np.inf))
        times, heights, highs = np.delete(times, pair), np.delete(heights, pair), np.delete(highs, pair)
    return Extremes(times, heights, highs)


def _separate(score: FloatArray) -> list[int]:
    """Indices of both members of every pair that scores finite and lower than its neighbours do."""
    padded = np.concatenate(([np.inf], score, [np.inf]))
    least = np.isfinite(score) & (score < padded[:-2]) & (score <= padded[2:])
    firsts = np.flatnonzero(least)
    return [int(i) for first in firsts for i in (first, first + 1)]
