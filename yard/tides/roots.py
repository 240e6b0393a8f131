"""High and low waters, and the times at which the water passes a level, exact to the model.

1. Heights and slopes on a grid of GRID_S by one matrix product. 2. Sign changes of the slope bracket
the extremes; with these as further nodes the water only rises or only falls between two nodes, so a sign
change of height - level brackets each crossing and none is missed. 3. The root of the cubic through
heights and slopes starts 4. a guarded Newton iteration on the harmonic sum itself.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil

import numpy as np

from yard.tides.harmonic import CHUNK, HarmonicTide, IntArray, YearTide
from yard.tides.source import BoolArray, FloatArray

GRID_S = 900.0  # at 3,600 s Galveston loses 10 of 727 extremes of a year; at 900 s none
CLOSE_ENOUGH_S = 0.05  # Newton's last step; the error left behind is its square over hours, far below 1 ms
MOST_ROUNDS = 30

ValuesAndSlopes = Callable[[FloatArray, IntArray], tuple[FloatArray, FloatArray]]


@dataclass(frozen=True, eq=False, slots=True)
class Extremes:
    """High and low waters of a span: times in seconds, heights in metres, True for high; each of shape (n,)."""

    times: FloatArray
    heights_m: FloatArray
    highs: BoolArray


@dataclass(frozen=True, eq=False, slots=True)
class Crossings:
    """Where the water passes each level in [begin, end).

    flips: for each level the ascending times in seconds; starts_at_or_above: for each level whether the
    water stands at or above it at begin.
    """

    flips: list[FloatArray]
    starts_at_or_above: BoolArray


@dataclass(frozen=True, eq=False, slots=True)
class _Nodes:
    """Heights and slopes of one year's part of a span, its extremes among the nodes; shape (n,) each."""

    year: YearTide
    times: FloatArray
    heights_m: FloatArray
    slopes: FloatArray
    extremes: Extremes


def nodes_of_span(tide: HarmonicTide, begin: float, end: float) -> list[_Nodes]:
    """Nodes of [begin, end), a part for each UTC year. begin < end, seconds since 1970."""
    return [_nodes_of(year, max(begin, year.begin_s), min(end, year.end_s)) for year in tide.years(begin, end)]


def _nodes_of(year: YearTide, begin: float, end: float) -> _Nodes:
    """Nodes between which the water only rises or only falls. begin < end, both within the year."""
    count = max(2, ceil((end - begin) / GRID_S) + 1)
    step = (end - begin) / (count - 1)
    times: FloatArray = np.linspace(begin, end, count)
    heights = year.row(begin, step, count)
    slopes = year.row(begin, step, count, slopes=True)
    times, heights, slopes = _with_hidden_turns(year, times, heights, slopes)
    extremes = _extremes(year, times, heights, slopes)
    places = np.searchsorted(times, extremes.times)
    return _Nodes(
        year,
        np.insert(times, places, extremes.times),
        np.insert(heights, places, extremes.heights_m),
        np.insert(slopes, places, 0.0),
        extremes,
    )


def extremes_of(parts: list[_Nodes]) -> Extremes:
    """All extremes of a span, with one at a New Year where the step between two years makes one."""
    times, heights, highs = [], [], []
    for before, part in zip([None, *parts[:-1]], parts, strict=True):
        if before is not None and (before.slopes[-1] > 0) != (part.slopes[0] > 0):
            high = bool(before.slopes[-1] > 0)
            ends = (before.heights_m[-1], part.heights_m[0])
            times.append(part.times[:1])
            heights.append(np.array([max(ends) if high else min(ends)]))
            highs.append(np.array([high]))
        times.append(part.extremes.times)
        heights.append(part.extremes.heights_m)
        highs.append(part.extremes.highs)
    return Extremes(np.concatenate(times), np.concatenate(heights), np.concatenate(highs))


def crossings_of(parts: list[_Nodes], levels_m: FloatArray) -> Crossings:
    """Where the water passes each of levels_m, shape (levels,), over the parts of a span."""
    flips: list[list[FloatArray]] = [[] for _ in levels_m]
    ends_at_or_above = starts = parts[0].heights_m[0] >= levels_m
    for part in parts:
        begins_at_or_above = part.heights_m[0] >= levels_m
        steps_over = begins_at_or_above != ends_at_or_above
        for row, found in enumerate(_crossings(part, levels_m)):
            flips[row] += [part.times[:1], found] if steps_over[row] else [found]
        ends_at_or_above = part.heights_m[-1] >= levels_m
    return Crossings([np.concatenate(found) for found in flips], starts)


def _with_hidden_turns(
    year: YearTide, times: FloatArray, heights: FloatArray, slopes: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """The grid with a node more wherever the water may turn twice between two nodes.

    There the slope keeps its sign at both nodes and dips towards zero between them: the node goes where it
    dips most, by the parabola of _slope_parabola. (Edgartown: 6 of 1,929 turns of a year hide like this.)
    """
    low, high = slopes[:-1], slopes[1:]
    a, b = _slope_parabola(low, high, np.diff(heights) / np.diff(times))
    with np.errstate(divide="ignore", invalid="ignore"):
        x = -b / (2 * a)
        dip = (low + b * x / 2) / low
    least = np.minimum(np.abs(low), np.abs(high)) / np.abs(low)
    at = np.flatnonzero((low * high > 0) & (x > 0) & (x < 1) & (dip < least / 2))
    extra = times[at] + x[at] * (times[at + 1] - times[at])
    extra_heights, extra_slopes = year.heights_and_slopes(extra)
    return (
        np.insert(times, at + 1, extra),
        np.insert(heights, at + 1, extra_heights),
        np.insert(slopes, at + 1, extra_slopes),
    )


def _slope_parabola(at_low: FloatArray, at_high: FloatArray, mean: FloatArray) -> tuple[FloatArray, FloatArray]:
    """a and b of slope = at_low + b x + a x^2 on the unit bracket, from both ends and the mean; shape (n,)."""
    return 3 * (at_low + at_high - 2 * mean), 2 * (3 * mean - 2 * at_low - at_high)


def _extremes(year: YearTide, times: FloatArray, heights: FloatArray, slopes: FloatArray) -> Extremes:
    rising = slopes > 0
    at = np.flatnonzero(rising[:-1] != rising[1:])
    low, high = times[at], times[at + 1]
    guess = _parabola_root(low, high, slopes[at], slopes[at + 1], heights[at + 1] - heights[at])
    found = _newton(lambda some, _: year.slopes_and_bends(some), guess, low, high, rising[at])
    return Extremes(found, year.heights_m(found), rising[at])


def _crossings(part: _Nodes, levels_m: FloatArray) -> list[FloatArray]:
    at_or_above = part.heights_m >= levels_m[:, np.newaxis]
    rows, at = np.nonzero(at_or_above[:, :-1] != at_or_above[:, 1:])
    found = np.empty(len(at))
    for first in range(0, len(at), CHUNK):
        some = slice(first, first + CHUNK)
        found[some] = _pass_level(part, at[some], levels_m[rows[some]], at_or_above[rows[some], at[some]])
    return np.split(found, np.searchsorted(rows, np.arange(1, len(levels_m))))


def _pass_level(part: _Nodes, at: IntArray, levels_m: FloatArray, falling: BoolArray) -> FloatArray:
    """The time in each bracket [node at, node at + 1] at which the water passes its level; shape (n,) all."""
    low, high = part.times[at], part.times[at + 1]
    over_low, over_high = part.heights_m[at] - levels_m, part.heights_m[at + 1] - levels_m
    guess = _cubic_root(low, high, over_low, over_high, part.slopes[at], part.slopes[at + 1])

    def over_level(times: FloatArray, which: IntArray) -> tuple[FloatArray, FloatArray]:
        heights, slopes = part.year.heights_and_slopes(times)
        return heights - levels_m[which], slopes

    return _newton(over_level, guess, low, high, falling)


def _newton(
    values: ValuesAndSlopes, guess: FloatArray, low: FloatArray, high: FloatArray, positive_at_low: BoolArray
) -> FloatArray:
    """Newton's iteration that never leaves its bracket: a step outside becomes a halving.

    values: takes times and the indices of the roots they belong to, gives value and slope there.
    A root whose last step was within CLOSE_ENOUGH_S is not worked on again. All arrays have shape (n,).
    """
    found, low, high = guess.copy(), low.copy(), high.copy()
    still = np.arange(len(found))
    for _ in range(MOST_ROUNDS):
        if not len(still):
            break
        now = found[still]
        value, slope = values(now, still)
        root_is_later = (value > 0) == positive_at_low[still]
        low[still] = np.where(root_is_later, now, low[still])
        high[still] = np.where(root_is_later, high[still], now)
        with np.errstate(divide="ignore", invalid="ignore"):
            better = now - value / slope
        outside = ~((better >= low[still]) & (better <= high[still]))
        better[outside] = ((low[still] + high[still]) / 2)[outside]
        found[still] = better
        still = still[np.abs(better - now) > CLOSE_ENOUGH_S]
    return found


def _parabola_root(
    low: FloatArray, high: FloatArray, at_low: FloatArray, at_high: FloatArray, rise: FloatArray
) -> FloatArray:
    """Where the parabola through two slopes, whose integral is `rise`, is zero between low and high."""
    width = high - low
    a, b = _slope_parabola(at_low, at_high, rise / width)
    with np.errstate(divide="ignore", invalid="ignore"):
        root = -2 * at_low / (b + np.copysign(np.sqrt(b * b - 4 * a * at_low), -at_low))
    chord = at_low / (at_low - at_high)
    return low + width * np.where((root >= 0) & (root <= 1), root, chord)


def _cubic_root(
    low: FloatArray,
    high: FloatArray,
    at_low: FloatArray,
    at_high: FloatArray,
    slope_low: FloatArray,
    slope_high: FloatArray,
) -> FloatArray:
    """Where the cubic Hermite curve through both ends is zero; four guarded Newton steps on the unit bracket."""
    width = high - low
    with np.errstate(divide="ignore", invalid="ignore"):
        start = at_low / (at_low - at_high)
    x = np.where(np.isfinite(start), start, 0.5)
    d0, d1 = slope_low * width, slope_high * width
    a = 2 * (at_low - at_high) + d0 + d1
    b = 3 * (at_high - at_low) - 2 * d0 - d1
    for _ in range(4):
        with np.errstate(divide="ignore", invalid="ignore"):
            nxt = x - (((a * x + b) * x + d0) * x + at_low) / ((3 * a * x + 2 * b) * x + d0)
        x = np.where((nxt >= 0) & (nxt <= 1), nxt, x)
    return low + width * x
