"""How honest the odds were: for each group of promised dates the chance that was said, and the share that was kept."""

from __future__ import annotations

from dataclasses import dataclass

from yard.pictures.shapes import Label, PictureValueError, Scale, Stroke, number_text, tenth
from yard.speech import _

WIDTH, HEIGHT = 340.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 46.0, 326.0, 14.0, 262.0
TICKS = (0.0, 0.25, 0.5, 0.75, 1.0)
LEAST_RADIUS, MOST_RADIUS = 3.0, 10.0


@dataclass(frozen=True, slots=True)
class CalibrationPoint:
    """said, kept, low, high: 0 to 1. count: promised dates in the group."""

    said: float
    kept: float
    low: float
    high: float
    count: int

    def __post_init__(self) -> None:
        if not all(0 <= value <= 1 for value in (self.said, self.kept, self.low, self.high)):
            raise PictureValueError("said, kept, low and high lie between 0 and 1")
        if not self.low <= self.kept <= self.high:
            raise PictureValueError(f"kept is {self.kept}, outside {self.low} to {self.high}")
        if self.count < 1:
            raise PictureValueError(f"count is {self.count}: a group holds at least one date")


@dataclass(frozen=True, slots=True)
class Dot:
    """spread: the line of where the true share may lie."""

    x: float
    y: float
    radius: float
    spread: Stroke


@dataclass(frozen=True, slots=True)
class CalibrationPicture:
    width: float
    height: float
    frame: Stroke
    honest: Stroke
    dots: tuple[Dot, ...]
    labels: tuple[Label, ...]
    summary: str


def lay_out(points: tuple[CalibrationPoint, ...]) -> CalibrationPicture:
    """The line on which an honest yard lies, and a dot for each group, the larger the more dates are in it."""
    across, up = Scale(0, 1, LEFT, RIGHT), Scale(0, 1, BOTTOM, TOP)
    most = max((point.count for point in points), default=1)
    dots = tuple(
        Dot(
            across.at(point.said),
            up.at(point.kept),
            tenth(LEAST_RADIUS + (MOST_RADIUS - LEAST_RADIUS) * (point.count / most) ** 0.5),
            Stroke(
                _line(across.at(point.said), up.at(point.low), across.at(point.said), up.at(point.high)), "cal-spread"
            ),
        )
        for point in points
    )
    labels = [Label(LEFT - 6, tenth(up.at(tick) + 4), f"{round(100 * tick)}", "x11 c2 end") for tick in TICKS]
    labels += [Label(across.at(tick), BOTTOM + 16, f"{round(100 * tick)}", "x11 c2 mid") for tick in TICKS]
    labels.append(Label(tenth((LEFT + RIGHT) / 2), HEIGHT - 6, _("said, of 100"), "x11 c2 mid"))
    labels.append(Label(LEFT + 6, TOP + 12, _("kept, of 100"), "x11 c2"))
    frame = f"M{number_text(LEFT)} {number_text(TOP)}V{number_text(BOTTOM)}H{number_text(RIGHT)}"
    return CalibrationPicture(
        WIDTH,
        HEIGHT,
        Stroke(frame, "cal-frame"),
        Stroke(_line(LEFT, BOTTOM, RIGHT, TOP), "cal-honest"),
        dots,
        tuple(labels),
        _summary(points),
    )


def _spread(x: float, low: float, high: float) -> Stroke:
    return Stroke(_line(x, low, x, high), "cal-spread")


def _line(x1: float, y1: float, x2: float, y2: float) -> str:
    return f"M{number_text(x1)} {number_text(y1)}L{number_text(x2)} {number_text(y2)}"


def _summary(points: tuple[CalibrationPoint, ...]) -> str:
    if not points:
        return _("No promised date with a chance has come yet.")
    said = [
        _("said {said} in 100, kept {kept} of 100 ({count})").format(
            said=round(100 * each.said), kept=round(100 * each.kept), count=each.count
        )
        for each in points
    ]
    return _("Chances and what came of them: {told}.").format(told="; ".join(said))
