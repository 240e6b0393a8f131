"""The ground under the lanes of the season board: weeks, rest days, closed days, today."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta

from yard.pictures.board_input import BoardInput
from yard.pictures.shapes import DayAxis, Rect, Stroke, number_text


@dataclass(frozen=True, slots=True)
class Ground:
    """Bands and rules from top to bottom: under every lane (drawn once, used by each) and under the head."""

    bands: tuple[Rect, ...]
    rules: tuple[Stroke, ...]


def lay_out_ground(values: BoardInput, axis: DayAxis, *, top: float, bottom: float) -> Ground:
    """Everything that stands for days rather than for boats, between two heights."""
    return Ground(
        bands=tuple(_day_bands(values, axis, top=top, height=bottom - top)),
        rules=(
            *_week_rules(axis, top, bottom),
            *_proposed_rules(values, axis, top, bottom),
            *_today_rule(values, axis, top, bottom),
        ),
    )


def _day_bands(values: BoardInput, axis: DayAxis, *, top: float, height: float) -> Iterable[Rect]:
    """Rest days shaded, closed days hatched; a closed rest day is hatched over its shade."""
    closed = {note.day: note.text for note in values.closed}
    for offset in range(axis.day_count):
        day = axis.first_day + timedelta(days=offset)
        if day.weekday() in values.rest_weekdays:
            yield Rect(axis.left(day), top, axis.day_width, height, "f-rest")
        if day in closed:
            yield Rect(axis.left(day), top, axis.day_width, height, "hatched", pattern="hatch", title=closed[day])


def _week_rules(axis: DayAxis, top: float, bottom: float) -> tuple[Stroke, ...]:
    """A rule at each Monday but the first edge."""
    mondays = (axis.first_day + timedelta(days=offset) for offset in range(1, axis.day_count))
    return tuple(
        Stroke(f"M{number_text(axis.left(day))} {number_text(top)}V{number_text(bottom)}", "l-rule")
        for day in mondays
        if day.weekday() == 0
    )


def _proposed_rules(values: BoardInput, axis: DayAxis, top: float, bottom: float) -> tuple[Stroke, ...]:
    """A basted column at each day proposed to close."""
    rules = []
    for note in values.proposed_closed:
        if axis.holds(note.day):
            left, right = axis.left(note.day) + 0.5, axis.left(note.day) + axis.day_width - 0.5
            column = f"{_upright(left, top, bottom)}{_upright(right, top, bottom)}"
            rules.append(Stroke(column, "l-prop basting", note.text))
    return tuple(rules)


def _upright(x: float, top: float, bottom: float) -> str:
    return f"M{number_text(x)} {number_text(top)}V{number_text(bottom)}"


def _today_rule(values: BoardInput, axis: DayAxis, top: float, bottom: float) -> tuple[Stroke, ...]:
    """A heavy rule where today begins, if today is on the board."""
    if not axis.holds(values.today):
        return ()
    return (Stroke(f"M{number_text(axis.left(values.today))} {number_text(top)}V{number_text(bottom)}", "l-today"),)
