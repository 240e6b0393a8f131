"""What a picture is made of: shapes with positions and class names, and the scales that place them.

Positions are in the picture's own units, x to the right, y downward, rounded to a tenth so that two
renders are equal byte for byte. Colours and patterns live in the stylesheet, never here.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from yard.speech import gettext_noop


class TradeGroup(StrEnum):
    """Who does the job; each has its own fill, pattern and lightness in the stylesheet."""

    YARD = "yard"
    RIG = "rig"
    LOFT = "loft"
    LAUNCH = "launch"
    MOORING = "mooring"


GROUP_CSS = {
    TradeGroup.YARD: "g-yard",
    TradeGroup.RIG: "g-rig",
    TradeGroup.LOFT: "g-loft",
    TradeGroup.LAUNCH: "g-launch",
    TradeGroup.MOORING: "g-launch",  # both are work on the water; the shape tells them apart
}
GROUP_PATTERN = {TradeGroup.RIG: "p-rig", TradeGroup.LOFT: "p-loft"}


class JobState(StrEnum):
    """How sure a job is: sewn, basted, or over."""

    PLANNED = "planned"
    DONE = "done"
    PROVISIONAL = "provisional"
    PROPOSED = "proposed"


STATE_WORDS = {
    JobState.PLANNED: gettext_noop("planned"),
    JobState.DONE: gettext_noop("done"),
    JobState.PROVISIONAL: gettext_noop("provisional"),
    JobState.PROPOSED: gettext_noop("proposed"),
}


def state_css(group: TradeGroup, state: JobState) -> str:
    """Class names of a mark of this group in this state."""
    match state:
        case JobState.DONE:
            return "done"
        case JobState.PROVISIONAL:
            return f"{GROUP_CSS[group]} prov"
        case JobState.PROPOSED:
            return "basted"
        case _:
            return GROUP_CSS[group]


class PictureValueError(ValueError):
    """A value given to a picture cannot be drawn; the text names the field and what it must be."""


@dataclass(frozen=True, slots=True)
class Span:
    """Minutes since the day's midnight on the yard's clock, half-open: [starts_min, ends_min).

    May be negative or beyond 1440: a tide of the evening before, a night that ends tomorrow.
    """

    starts_min: int
    ends_min: int

    def __post_init__(self) -> None:
        if self.ends_min < self.starts_min:
            raise PictureValueError(f"a span ends at minute {self.ends_min}, before it starts at {self.starts_min}")

    @property
    def length_min(self) -> int:
        return self.ends_min - self.starts_min

    def meets(self, other: Span) -> bool:
        """Whether the two share at least one minute."""
        return self.starts_min < other.ends_min and other.starts_min < self.ends_min


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """Height of the water at a minute of the day, in the unit the page shows."""

    minute: int
    height: float


@dataclass(frozen=True, slots=True)
class Rect:
    x: float
    y: float
    width: float
    height: float
    css: str = ""
    pattern: str = ""
    title: str = ""

    @property
    def right(self) -> float:
        return tenth(self.x + self.width)

    @property
    def bottom(self) -> float:
        return tenth(self.y + self.height)


@dataclass(frozen=True, slots=True)
class Label:
    """Words at a point; `css` carries size, weight and anchor; `title` the full text if it was cut."""

    x: float
    y: float
    text: str
    css: str = ""
    title: str = ""


@dataclass(frozen=True, slots=True)
class Stroke:
    """An SVG path: a line, an outline, a filled area or a pennant."""

    d: str
    css: str
    title: str = ""


@dataclass(frozen=True, slots=True)
class Disc:
    cx: float
    cy: float
    r: float
    css: str
    title: str = ""


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight line from values to positions; `clamped` never leaves the two ends."""

    value_from: float
    value_to: float
    place_from: float
    place_to: float

    def __post_init__(self) -> None:
        if self.value_from == self.value_to:
            raise PictureValueError(f"a scale needs two different values, got {self.value_from} twice")

    def at(self, value: float) -> float:
        share = (value - self.value_from) / (self.value_to - self.value_from)
        return tenth(self.place_from + share * (self.place_to - self.place_from))

    def clamped(self, value: float) -> float:
        low, high = sorted((self.value_from, self.value_to))
        return self.at(min(max(value, low), high))


@dataclass(frozen=True, slots=True)
class DayAxis:
    """Days side by side, each `day_width` wide, the first at x = 0."""

    first_day: date
    day_count: int
    day_width: float

    def __post_init__(self) -> None:
        if self.day_count < 1:
            raise PictureValueError(f"day_count is {self.day_count}: a picture of days needs at least one")

    @property
    def width(self) -> float:
        return tenth(self.day_count * self.day_width)

    def index(self, day: date) -> int:
        return (day - self.first_day).days

    def holds(self, day: date) -> bool:
        return 0 <= self.index(day) < self.day_count

    def left(self, day: date) -> float:
        """Left edge of the day, clamped to the picture."""
        return tenth(min(max(self.index(day), 0), self.day_count) * self.day_width)

    def middle(self, day: date) -> float:
        return tenth(self.left(day) + self.day_width / 2)


def tenth(value: float) -> float:
    """Round to a tenth of a unit; minus nought becomes nought, so that text is always the same."""
    return round(value, 1) + 0.0


def number_text(value: float) -> str:
    """A number inside a path: a point for the decimals in every locale, no needless nought."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def line_d(points: Iterable[tuple[float, float]]) -> str:
    """Path data of a line through the points; empty for fewer than two."""
    places = [f"{number_text(x)} {number_text(y)}" for x, y in points]
    return f"M{'L'.join(places)}" if len(places) > 1 else ""


def area_d(points: list[tuple[float, float]], base_y: float) -> str:
    """Path data of the area between a line and a level base; empty for fewer than two points."""
    if len(points) < 2:
        return ""
    return line_d([(points[0][0], base_y), *points, (points[-1][0], base_y)]) + "Z"


def cut_curve(curve: tuple[CurvePoint, ...], span: Span) -> tuple[CurvePoint, ...]:
    """The part of a curve inside a span, its ends worked out on the straight line between points."""
    if len(curve) < 2:
        return ()
    first, last = max(curve[0].minute, span.starts_min), min(curve[-1].minute, span.ends_min)
    if first > last:
        return ()
    inside = [_on_line(curve, first), *(point for point in curve if first < point.minute < last)]
    return (*inside, _on_line(curve, last)) if first < last else tuple(inside)


def _on_line(curve: tuple[CurvePoint, ...], minute: int) -> CurvePoint:
    """The point of the curve at a minute between its first and its last."""
    at = max(1, bisect_left(curve, minute, key=lambda point: point.minute))
    before, after = curve[at - 1], curve[at]
    share = (minute - before.minute) / (after.minute - before.minute)
    return CurvePoint(minute, before.height + share * (after.height - before.height))
