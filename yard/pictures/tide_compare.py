"""The yard's curve beside high waters off an official table: rings where the table says, the line where we say."""

from __future__ import annotations

from dataclasses import dataclass

from yard.pictures.lettering import clock, height_text
from yard.pictures.shapes import CurvePoint, Disc, Label, PictureValueError, Scale, Stroke, line_d, tenth
from yard.speech import _

TOP, BOTTOM, SIDE = 24.0, 24.0, 40.0


@dataclass(frozen=True, slots=True)
class Typed:
    """A high water of the table: minute from the start of the picture, and height in the page's unit."""

    minute: int
    height: float
    label: str


@dataclass(frozen=True, slots=True)
class TideCompareInput:
    """curve: ours, in order of time; minutes count from the midnight of the first day; days: one name each."""

    curve: tuple[CurvePoint, ...]
    typed: tuple[Typed, ...]
    days: tuple[str, ...]
    height_unit: str
    width: float = 760
    height: float = 200

    def __post_init__(self) -> None:
        if not self.days:
            raise PictureValueError("days: a comparison shows at least one day")
        minutes = [point.minute for point in self.curve]
        if len(minutes) < 2 or minutes != sorted(minutes):
            raise PictureValueError("curve: at least two points, in order of time")


@dataclass(frozen=True, slots=True)
class TideComparePicture:
    width: float
    height: float
    line: Stroke
    days: tuple[Stroke, ...]
    rings: tuple[Disc, ...]
    labels: tuple[Label, ...]
    summary: str


def lay_out(values: TideCompareInput) -> TideComparePicture:
    """Days side by side; heights from the lowest to the highest of both."""
    heights = [point.height for point in values.curve] + [each.height for each in values.typed]
    low, high = min(heights), max(heights)
    across = Scale(0, 1440 * len(values.days), SIDE, values.width - 8)
    down = Scale(low, high if high > low else low + 1, values.height - BOTTOM, TOP)
    lines = [tenth(across.at(1440 * day)) for day in range(len(values.days))]
    foot = values.height - BOTTOM + 4
    names = [Label(x + 4, tenth(values.height - 6), day, "x11 c2") for x, day in zip(lines, values.days, strict=True)]
    ends = [Label(SIDE - 6, tenth(down.at(each) + 4), height_text(each), "x11 c2 end") for each in (low, high)]
    return TideComparePicture(
        width=values.width,
        height=values.height,
        line=Stroke(line_d((across.at(point.minute), down.at(point.height)) for point in values.curve), "l-water"),
        days=tuple(Stroke(f"M{x} {TOP - 8}V{foot}", "l-rule2") for x in lines),
        rings=tuple(
            Disc(tenth(across.at(each.minute)), tenth(down.at(each.height)), 5, "over", each.label)
            for each in values.typed
        ),
        labels=(*names, *ends),
        summary=_("Our tide over {n} days; the table's high waters as rings: {waters}").format(
            n=len(values.days),
            waters=", ".join(
                f"{clock(each.minute)} {height_text(each.height)} {values.height_unit}" for each in values.typed
            ),
        ),
    )
