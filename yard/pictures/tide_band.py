"""The band of a day's tide: the curve over an axis of hours, the part above a level, highs and lows.

Shared by the day sheet and the tide curve.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from yard.pictures.labels import inside, keep_clear
from yard.pictures.lettering import clock, clock_span, height_text, whole_hour
from yard.pictures.shapes import (
    CurvePoint,
    Label,
    Rect,
    Scale,
    Span,
    Stroke,
    area_d,
    cut_curve,
    line_d,
    number_text,
    tenth,
)
from yard.pictures.tide_curve_input import Extreme, Level
from yard.speech import _

HIGH_ROOM = 18.0  # above the highest water, for its words
LOW_ROOM = 15.0  # below the lowest water, for its words
LEAST_HOUR_WIDTH = 26.0  # two figures and their space


@dataclass(frozen=True, slots=True)
class TideBand:
    """water: filled area; usable: parts of it above the level; level_lines: the level, where water is above it."""

    water: Stroke | None
    line: Stroke | None
    usable: tuple[Stroke, ...]
    level_lines: tuple[Stroke, ...]
    heights: tuple[Stroke, ...]
    height_labels: tuple[Label, ...]
    hours: tuple[Stroke, ...]
    hour_labels: tuple[Label, ...]
    dark: tuple[Rect, ...]
    labels: tuple[Label, ...]
    windows: tuple[Span, ...]


@dataclass(frozen=True, slots=True)
class BandRoom:
    """Where the band lies: between two x and two y, the hours written at `hours_y`."""

    left: float
    right: float
    top: float
    bottom: float
    hours_y: float


@dataclass(frozen=True, slots=True)
class BandValues:
    axis: Span
    curve: tuple[CurvePoint, ...]
    extremes: tuple[Extreme, ...]
    level: Level | None
    sunrise_min: int | None
    sunset_min: int | None
    height_unit: str
    work: Span | None = None


def lay_out_band(values: BandValues, room: BandRoom) -> TideBand:
    """Place the curve and its words; without a curve only hours and light are there."""
    across = Scale(values.axis.starts_min, values.axis.ends_min, room.left, room.right)
    curve = cut_curve(values.curve, values.axis)
    up = _height_scale(values, curve, room)
    windows = spans_above(curve, values.level.height) if values.level is not None else ()
    points = [(across.at(point.minute), up.at(point.height)) for point in curve]
    return TideBand(
        water=Stroke(area_d(points, room.bottom), "f-water") if points else None,
        line=Stroke(line_d(points), "l-water") if points else None,
        usable=tuple(_usable(window, values, curve, across, up) for window in windows),
        level_lines=tuple(_level_line(window, values, across, up) for window in windows),
        heights=_height_rules(up, room) if points else (),
        height_labels=_height_labels(up, room, values.height_unit) if points else (),
        hours=tuple(_hour_rule(minute, across, room) for minute in _hour_minutes(values.axis, across)),
        hour_labels=_hour_labels(values, across, room),
        dark=_dark(values, across, room),
        labels=_labels(values, windows, across, up, room) if points else (),
        windows=windows,
    )


def spans_above(curve: tuple[CurvePoint, ...], height: float) -> tuple[Span, ...]:
    """Whole minutes in which the water stands at or above a height, inside the curve.

    Crossings lie on the straight line between points; a start is rounded up and an end down, so the
    span never claims a minute that the curve does not give.
    """
    spans: list[Span] = []
    start: float | None = None
    for before, after in pairwise(curve):
        if before.height >= height and start is None:
            start = before.minute
        if (before.height >= height) != (after.height >= height):
            crossing = _crossing(before, after, height)
            if start is None:
                start = crossing
            else:
                _add_span(spans, start, crossing)
                start = None
    if start is not None:
        _add_span(spans, start, curve[-1].minute)
    return tuple(spans)


def _add_span(spans: list[Span], start: float, end: float) -> None:
    first, last = -int(-start // 1), int(end // 1)
    if last > first:
        spans.append(Span(first, last))


def _crossing(before: CurvePoint, after: CurvePoint, height: float) -> float:
    share = (height - before.height) / (after.height - before.height)
    return before.minute + share * (after.minute - before.minute)


def _height_scale(values: BandValues, curve: tuple[CurvePoint, ...], room: BandRoom) -> Scale:
    heights = [point.height for point in curve] or [0.0, 1.0]
    if values.level is not None:
        heights.append(values.level.height)
    low, high = min(heights), max(heights)
    return Scale(low, high if high > low else low + 1, room.bottom - LOW_ROOM, room.top + HIGH_ROOM)


def _usable(window: Span, values: BandValues, curve: tuple[CurvePoint, ...], across: Scale, up: Scale) -> Stroke:
    part = [(across.at(point.minute), up.at(point.height)) for point in cut_curve(curve, window)]
    level = up.at(values.level.height) if values.level is not None else 0.0
    return Stroke(area_d(part, level), "f-use")


def _level_line(window: Span, values: BandValues, across: Scale, up: Scale) -> Stroke:
    y = number_text(up.at(values.level.height)) if values.level is not None else "0"
    ends = (number_text(across.at(minute)) for minute in (window.starts_min, window.ends_min))
    return Stroke(f"M{next(ends)} {y}H{next(ends)}", "l-need")


def _round_step(spread: float, most: int) -> float:
    """The smallest of 0.5, 1, 2, 5, 10, 20 ... that divides the spread into at most so many parts."""
    step, power = 0.5, 1.0
    while spread / step > most:
        for factor in (1.0, 2.0, 5.0):
            step = factor * power
            if spread / step <= most:
                return step
        power *= 10
    return step


def _levels(up: Scale) -> list[float]:
    low, high = up.value_from, up.value_to
    step = _round_step(high - low, 5)
    first = -int(-low // step)
    return [number * step for number in range(first, int(high // step) + 1)]


def _height_rules(up: Scale, room: BandRoom) -> tuple[Stroke, ...]:
    ends = (number_text(room.left), number_text(room.right))
    return tuple(Stroke(f"M{ends[0]} {number_text(up.at(level))}H{ends[1]}", "l-rule") for level in _levels(up))


def _height_labels(up: Scale, room: BandRoom, unit: str) -> tuple[Label, ...]:
    levels = _levels(up)
    whole = all(level == int(level) for level in levels)
    words = (f"{int(level) if whole else height_text(level)} {unit}".replace("-", "−") for level in levels)
    places = (tenth(up.at(level) + 3.5) for level in levels)
    labels = [Label(tenth(room.left - 6), y, text, "x10 c2 end") for y, text in zip(places, words, strict=True)]
    return keep_clear(labels)


def _hour_minutes(axis: Span, across: Scale) -> list[int]:
    hour_width = across.at(axis.starts_min + 60) - across.at(axis.starts_min)
    step = next((hours for hours in (1, 2, 3, 6, 12) if hours * hour_width >= LEAST_HOUR_WIDTH), 24) * 60
    first = -(-axis.starts_min // step) * step
    return list(range(first, axis.ends_min + 1, step))


def _hour_rule(minute: int, across: Scale, room: BandRoom) -> Stroke:
    return Stroke(f"M{number_text(across.at(minute))} {number_text(room.top)}V{number_text(room.bottom)}", "l-rule")


def _hour_labels(values: BandValues, across: Scale, room: BandRoom) -> tuple[Label, ...]:
    """Hours of work dark, the others pale."""
    labels = []
    for minute in _hour_minutes(values.axis, across):
        at_work = values.work is None or values.work.starts_min <= minute <= values.work.ends_min
        css = "x11 mid md" if at_work else "x11 mid c2"
        labels.append(inside(Label(across.at(minute), room.hours_y, whole_hour(minute), css), 0, room.right))
    return keep_clear(labels)


def _dark(values: BandValues, across: Scale, room: BandRoom) -> tuple[Rect, ...]:
    """The parts of the axis before sunrise and after sunset."""
    bands = []
    if values.sunrise_min is not None and values.sunrise_min > values.axis.starts_min:
        bands.append((values.axis.starts_min, min(values.sunrise_min, values.axis.ends_min)))
    if values.sunset_min is not None and values.sunset_min < values.axis.ends_min:
        bands.append((max(values.sunset_min, values.axis.starts_min), values.axis.ends_min))
    return tuple(
        Rect(
            across.at(start),
            room.top,
            tenth(across.at(end) - across.at(start)),
            tenth(room.bottom - room.top),
            "f-rest",
        )
        for start, end in bands
    )


def _labels(
    values: BandValues, windows: tuple[Span, ...], across: Scale, up: Scale, room: BandRoom
) -> tuple[Label, ...]:
    """High waters first, then the windows, then what they are for, then low waters."""
    seen = [extreme for extreme in values.extremes if values.axis.starts_min <= extreme.minute < values.axis.ends_min]
    highs = [_extreme_label(extreme, across, up, room) for extreme in seen if extreme.is_high]
    lows = [_extreme_label(extreme, across, up, room) for extreme in seen if not extreme.is_high]
    words = [_window_labels(window, values, across, up, room) for window in windows]
    kept = keep_clear([*highs, *(pair[0] for pair in words), *lows])
    if not words or words[0][0] not in kept:
        return kept
    return keep_clear([*kept, words[0][1]])


def _extreme_label(extreme: Extreme, across: Scale, up: Scale, room: BandRoom) -> Label:
    place = up.clamped(extreme.height)
    y = tenth(place - 6) if extreme.is_high else min(tenth(place + 12), room.bottom - 3)
    name, css = (_("High"), "x11 mid bd") if extreme.is_high else (_("Low"), "x11 mid")
    words = f"{name} {clock(extreme.minute)} · {height_text(extreme.height)}"
    return inside(Label(across.at(extreme.minute), y, words, css), room.left + 4, room.right - 4)


def _window_labels(window: Span, values: BandValues, across: Scale, up: Scale, room: BandRoom) -> tuple[Label, Label]:
    level = values.level if values.level is not None else Level(0.0, "")
    x = tenth((across.at(window.starts_min) + across.at(window.ends_min)) / 2)
    y = min(up.at(level.height) + 13, room.bottom - 16)
    words = _("water {hours}").format(hours=clock_span(window.starts_min, window.ends_min))
    first = inside(Label(x, tenth(y), words, "x11 mid halo-w"), room.left + 4, room.right - 4)
    return first, inside(Label(x, tenth(y + 12), level.label, "x10 mid c2 halo-w"), room.left + 4, room.right - 4)
