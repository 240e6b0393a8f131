"""What the tide curve of a day is drawn from. Minutes count from the day's midnight on the yard's
clock; heights are in the unit the page shows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from yard.pictures.shapes import CurvePoint, PictureValueError, Span


@dataclass(frozen=True, slots=True)
class Extreme:
    """A high or a low water."""

    minute: int
    height: float
    is_high: bool


@dataclass(frozen=True, slots=True)
class Level:
    """A height that matters, with its words: "for a boat needing 14.4 ft"."""

    height: float
    label: str


@dataclass(frozen=True, slots=True)
class TideCurveInput:
    """curve: points in order of time, empty without a station; level: None if nothing is to be shown."""

    day: date
    axis: Span
    curve: tuple[CurvePoint, ...]
    extremes: tuple[Extreme, ...] = ()
    level: Level | None = None
    sunrise_min: int | None = None
    sunset_min: int | None = None
    now_min: int | None = None
    height_unit: str = "ft"
    width: float = 720
    height: float = 190

    def __post_init__(self) -> None:
        if self.axis.length_min < 60:
            raise PictureValueError("axis: the curve needs at least an hour from its first to its last minute")
        if self.width < 200 or self.height < 80:
            raise PictureValueError(f"a curve of {self.width} x {self.height} is too small; 200 x 80 is the least")
        minutes = [point.minute for point in self.curve]
        if minutes != sorted(minutes):
            raise PictureValueError("curve: its points must be in order of time")
