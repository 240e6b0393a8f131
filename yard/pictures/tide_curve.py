"""The tide of one day: its curve, what part of it is usable, light, and now."""

from __future__ import annotations

from dataclasses import dataclass, replace

from yard.pictures.labels import inside, label_box, touch
from yard.pictures.lettering import clock, clock_span, height_text, text_width, weekday_day_month
from yard.pictures.shapes import Label, Rect, Scale, Span, Stroke, number_text, tenth
from yard.pictures.tide_band import BandRoom, BandValues, TideBand, lay_out_band
from yard.pictures.tide_curve_input import Extreme, Level, TideCurveInput
from yard.speech import _

LEFT_ROOM, TOP_ROOM, BOTTOM_ROOM = 46.0, 20.0, 2.0


@dataclass(frozen=True, slots=True)
class NowLine:
    line: Stroke
    box: Rect
    label: Label


@dataclass(frozen=True, slots=True)
class TideCurvePicture:
    """summary: the day's highs, lows and windows in words, for those who do not see the curve."""

    width: float
    height: float
    band: TideBand
    now: NowLine | None
    summary: str


def lay_out(values: TideCurveInput) -> TideCurvePicture:
    """Place the day's curve; without a curve the summary says that the water is not known."""
    room = BandRoom(LEFT_ROOM, values.width - 2, TOP_ROOM, values.height - BOTTOM_ROOM, TOP_ROOM - 6)
    band = lay_out_band(
        BandValues(
            axis=values.axis,
            curve=values.curve,
            extremes=values.extremes,
            level=values.level,
            sunrise_min=values.sunrise_min,
            sunset_min=values.sunset_min,
            height_unit=values.height_unit,
        ),
        room,
    )
    across = Scale(values.axis.starts_min, values.axis.ends_min, room.left, room.right)
    now = now_line(values.now_min, values.axis, across, top=TOP_ROOM, bottom=room.bottom)
    day = weekday_day_month(values.day)
    told = f"{tide_words(values.extremes, values.height_unit)} {window_words(band.windows, values.level)}".strip()
    return TideCurvePicture(
        values.width,
        values.height,
        clear_of_now(band, now),
        now,
        _("Tide on {day}. {told}").format(day=day, told=told).strip(),
    )


def now_line(now_min: int | None, axis: Span, across: Scale, *, top: float, bottom: float) -> NowLine | None:
    """A heavy line at now with the time in a black box above it; None if now is not on the axis."""
    if now_min is None or not axis.starts_min <= now_min < axis.ends_min:
        return None
    x = across.at(now_min)
    label = inside(Label(x, top - 5.5, clock(now_min), "x11 bd mid onink"), across.place_from, across.place_to - 3)
    half = max(20, tenth(text_width(label.text, 11, bold=True) / 2 + 2))
    box = Rect(tenth(label.x - half), top - 17, 2 * half, 15)
    return NowLine(Stroke(f"M{number_text(x)} {number_text(top)}V{number_text(bottom)}", "l-today"), box, label)


def clear_of_now(band: TideBand, now: NowLine | None) -> TideBand:
    """The hours under the box of now are left to the paper, where now is not drawn."""
    if now is None:
        return band
    labels = tuple(
        replace(label, css=f"{label.css} paper") if touch(label_box(label), now.box) else label
        for label in band.hour_labels
    )
    return replace(band, hour_labels=labels)


def tide_words(extremes: tuple[Extreme, ...], unit: str) -> str:
    """High 11:38, 18.1 ft; low 17:53, 0.4 ft."""
    if not extremes:
        return _("The water is not known: no tide station.")
    parts = [
        f"{_('high') if extreme.is_high else _('low')} {clock(extreme.minute)}, {height_text(extreme.height)} {unit}"
        for extreme in extremes
    ]
    text = "; ".join(parts)
    return f"{text[0].upper()}{text[1:]}."


def window_words(windows: tuple[Span, ...], level: Level | None) -> str:
    if level is None:
        return ""
    if not windows:
        return _("No water {boat}.").format(boat=level.label)
    spans = [clock_span(each.starts_min, each.ends_min) for each in windows]
    return _("Water {hours} {boat}.").format(hours=_(" and ").join(spans), boat=level.label)
