"""The head of the season board: months and days, words over them, and the strip of the ramp's water."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from yard.pictures.board_ground import Ground, lay_out_ground
from yard.pictures.board_input import BoardInput, DayNote, DayWater
from yard.pictures.labels import inside, keep_clear, label_box
from yard.pictures.lettering import cut, day_month, height_text, text_width
from yard.pictures.shapes import DayAxis, Disc, Label, Rect, Scale, Stroke, number_text, tenth
from yard.speech import _

HEAD_HEIGHT = 92.0
STRIP_TOP, STRIP_BASE = 50.0, 88.0
DAYS_TOP = 19.0
BAR_MARGIN = 2.5


@dataclass(frozen=True, slots=True)
class BoardHead:
    """Drawn above the lanes on the same days. `today_box` is the black cell behind today's number."""

    width: float
    height: float
    ground: Ground
    weeks: tuple[Label, ...]
    days: tuple[Label, ...]
    notes: tuple[Label, ...]
    today_box: Rect | None
    bars: tuple[Rect, ...]
    rings: tuple[Disc, ...]
    levels: tuple[Stroke, ...]
    level_labels: tuple[Label, ...]
    needs: Stroke | None
    needs_label: Label | None
    summary: str


def lay_out_head(values: BoardInput, axis: DayAxis) -> BoardHead:
    """Months, days, notes and water. Bars stand on the lowest water shown less one unit, not on nought."""
    scale = _height_scale(values)
    needs = None if values.needs_line is None or scale is None else scale.clamped(values.needs_line.height)
    return BoardHead(
        width=axis.width,
        height=HEAD_HEIGHT,
        ground=lay_out_ground(values, axis, top=DAYS_TOP, bottom=HEAD_HEIGHT),
        weeks=_week_labels(axis),
        days=_day_labels(values, axis),
        notes=_notes(values, axis),
        today_box=Rect(axis.left(values.today), DAYS_TOP, axis.day_width, 16) if axis.holds(values.today) else None,
        bars=() if scale is None else _bars(values.water, axis, scale),
        rings=() if scale is None else _rings(values.water, axis, scale),
        levels=() if scale is None else _levels(axis, scale),
        level_labels=() if scale is None else _level_labels(values, axis, scale),
        needs=None if needs is None else Stroke(f"M0 {number_text(needs)}H{number_text(axis.width)}", "l-need"),
        needs_label=None if needs is None else _needs_label(values, needs, axis),
        summary=_summary(values),
    )


def _height_scale(values: BoardInput) -> Scale | None:
    """Heights to places; None if no day has water. Rings and the needed height fit in as well as the bars."""
    heights = [water.highest for water in values.water if water.highest is not None]
    heights += [height for water in values.water for height in water.outside]
    if not heights:
        return None
    if values.needs_line is not None:
        heights.append(values.needs_line.height)
    return Scale(min(heights) - 1, max(heights) + 0.5, STRIP_BASE, STRIP_TOP)


def _week_labels(axis: DayAxis) -> tuple[Label, ...]:
    """The date of each Monday, and of the first day unless a Monday would run into its words."""
    starts = [day for day in _days(axis) if day.weekday() == 0]
    first_label_end = text_width(day_month(axis.first_day), 12.5) + 8
    if not starts or axis.left(starts[0]) > first_label_end:
        starts.insert(0, axis.first_day)
    return tuple(
        Label(tenth(axis.left(day) + 4), 14.0, cut(day_month(day), 12.5, axis.width - axis.left(day) - 4), "x12 md")
        for day in starts
    )


def _days(axis: DayAxis) -> list[date]:
    return [axis.first_day + timedelta(days=offset) for offset in range(axis.day_count)]


def _day_labels(values: BoardInput, axis: DayAxis) -> tuple[Label, ...]:
    closed = {note.day for note in values.closed}
    return tuple(Label(axis.middle(day), 31.0, str(day.day), _day_css(day, values, closed)) for day in _days(axis))


def _day_css(day: date, values: BoardInput, closed: set[date]) -> str:
    if day == values.today:
        return "x9 mid bd onink"
    return "x9 mid c2" if day in closed or day.weekday() in values.rest_weekdays else "x9 mid"


def _notes(values: BoardInput, axis: DayAxis) -> tuple[Label, ...]:
    """Words over days: what is proposed to close beside the months, tide words under the day numbers.

    A word that would touch another, or the name of a month, is left out; its day still shows it.
    """
    months = [label_box(label) for label in _week_labels(axis)]
    proposed = _words_over(values.proposed_closed, axis, y=14.0, css="x10 mid bd cp")
    tide = _words_over(values.tide_notes, axis, y=44.0, css="x10 mid c2")
    return keep_clear(proposed, of=months) + keep_clear(tide)


def _words_over(notes: tuple[DayNote, ...], axis: DayAxis, *, y: float, css: str) -> list[Label]:
    shown = (note for note in sorted(notes, key=lambda note: note.day) if axis.holds(note.day))
    labels = (inside(Label(axis.middle(note.day), y, note.text, css), 0, axis.width) for note in shown)
    return [label for label in labels if label_box(label).width <= axis.width]


def _bars(water: tuple[DayWater, ...], axis: DayAxis, scale: Scale) -> tuple[Rect, ...]:
    return tuple(
        Rect(
            tenth(axis.left(day.day) + BAR_MARGIN),
            scale.at(day.highest),
            tenth(axis.day_width - 2 * BAR_MARGIN),
            tenth(STRIP_BASE - scale.at(day.highest)),
            "f-wat" if day.usable else "f-none",
            title=f"{day_month(day.day)}: {height_text(day.highest)}",
        )
        for day in water
        if day.highest is not None and axis.holds(day.day)
    )


def _rings(water: tuple[DayWater, ...], axis: DayAxis, scale: Scale) -> tuple[Disc, ...]:
    return tuple(
        Disc(axis.middle(day.day), scale.at(height), 2.6, "ring", f"{day_month(day.day)}: {height_text(height)}")
        for day in water
        if axis.holds(day.day)
        for height in day.outside
    )


def _round_levels(scale: Scale) -> list[int]:
    """Round heights inside the strip, two to four of them whatever the unit."""
    low, high = scale.value_from, scale.value_to
    step = next(step for step in (1, 2, 5, 10, 20, 50, 100, 1000) if (high - low) / step < 5 or step == 1000)
    return [level for level in range(int(low // step) * step, int(high) + 1, step) if low < level < high]


def _levels(axis: DayAxis, scale: Scale) -> tuple[Stroke, ...]:
    return tuple(
        Stroke(f"M0 {number_text(scale.at(level))}H{number_text(axis.width)}", "l-rule")
        for level in _round_levels(scale)
    )


def _level_labels(values: BoardInput, axis: DayAxis, scale: Scale) -> tuple[Label, ...]:
    """The heights of the levels, written on rest days where no bar stands; the lowest two are enough."""
    rest = [day for day in _days(axis) if day.weekday() in values.rest_weekdays]
    barred = {water.day for water in values.water if water.highest is not None}
    levels = [level for level in _round_levels(scale) if scale.at(level) < STRIP_BASE - 3][:2]
    if len(levels) == 2 and scale.at(levels[0]) - scale.at(levels[1]) < 9:
        levels = levels[:1]
    return tuple(
        Label(axis.middle(day), tenth(scale.at(level) + 3.5), str(level), "x9 mid c2")
        for day in rest
        if day not in barred
        for level in levels
    )


def _needs_label(values: BoardInput, y: float, axis: DayAxis) -> Label | None:
    if values.needs_line is None:
        return None
    full = _("{boat} needs {height}").format(
        boat=values.needs_line.name, height=f"{height_text(values.needs_line.height)} {values.height_unit}"
    )
    return Label(
        tenth(axis.width - 4), tenth(y - 4), cut(full, 10.5, axis.width - 8, bold=True), "x10 bd end halo", full
    )


def _summary(values: BoardInput) -> str:
    heights = [water.highest for water in values.water if water.highest is not None]
    if not heights:
        return _("No tide station: the water at the ramp is not known.")
    unusable = sum(not water.usable for water in values.water)
    return _(
        "Highest water at the ramp in working hours, {first} to {last}: {lowest} to {highest} {unit} above datum; "
        "the ramp is unusable on {unusable} of {days} days."
    ).format(
        first=day_month(values.water[0].day),
        last=day_month(values.water[-1].day),
        lowest=height_text(min(heights)),
        highest=height_text(max(heights)),
        unit=values.height_unit,
        unusable=unusable,
        days=len(values.water),
    )
