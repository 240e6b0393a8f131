"""A running plan: its cost over time as a small falling line."""

from __future__ import annotations

from dataclasses import dataclass

from yard.pictures.shapes import Disc, PictureValueError, Scale, Stroke, number_text
from yard.speech import _, number

MARGIN = 4.0


@dataclass(frozen=True, slots=True)
class ProgressPoint:
    second: float
    cost: float


@dataclass(frozen=True, slots=True)
class ProgressInput:
    """points: best cost known from each second on, in order of time; bound: no plan can cost less, None if
    unknown; limit_s: when the planner stops, None if it has no limit."""

    points: tuple[ProgressPoint, ...] = ()
    bound: float | None = None
    limit_s: float | None = None
    width: float = 240
    height: float = 48

    def __post_init__(self) -> None:
        seconds = [point.second for point in self.points]
        if seconds != sorted(seconds):
            raise PictureValueError("points: they must be in order of time")
        if self.width <= 2 * MARGIN or self.height <= 2 * MARGIN:
            raise PictureValueError(f"a line of {self.width} x {self.height} leaves no room inside its margins")


@dataclass(frozen=True, slots=True)
class ProgressPicture:
    """line falls in steps: a cost holds until a better plan is found. last: where it stands now."""

    width: float
    height: float
    line: Stroke | None
    last: Disc | None
    bound: Stroke | None
    summary: str


def lay_out(values: ProgressInput) -> ProgressPicture:
    """Time from the left edge to the limit, cost from the bound (or the best known) at the bottom."""
    if not values.points:
        return ProgressPicture(values.width, values.height, None, None, None, _("No plan found yet."))
    across, down = _scales(values)
    bound_y = None if values.bound is None else number_text(down.clamped(values.bound))
    newest = values.points[-1]
    return ProgressPicture(
        width=values.width,
        height=values.height,
        line=Stroke(_steps_d(values.points, across, down), "l-water"),
        last=Disc(across.at(newest.second), down.at(newest.cost), 3, "f-ink"),
        bound=None if bound_y is None else Stroke(f"M0 {bound_y}H{number_text(values.width)}", "l-need"),
        summary=_summary(values),
    )


def _scales(values: ProgressInput) -> tuple[Scale, Scale]:
    seconds = [point.second for point in values.points] + ([] if values.limit_s is None else [values.limit_s])
    costs = [point.cost for point in values.points] + ([] if values.bound is None else [values.bound])
    start, end = min(0.0, *seconds), max(seconds)
    low, high = min(costs), max(costs)
    across = Scale(start, end if end > start else start + 1, MARGIN, values.width - MARGIN)
    down = Scale(low, high if high > low else low + 1, values.height - MARGIN, MARGIN)
    return across, down


def _steps_d(points: tuple[ProgressPoint, ...], across: Scale, down: Scale) -> str:
    first = points[0]
    steps = [f"M{number_text(across.at(first.second))} {number_text(down.at(first.cost))}"]
    steps += [f"H{number_text(across.at(p.second))}V{number_text(down.at(p.cost))}" for p in points[1:]]
    return "".join(steps)


def _summary(values: ProgressInput) -> str:
    first, newest = values.points[0], values.points[-1]
    fell = {"first": number(first.cost, 0), "newest": number(newest.cost, 0), "seconds": number(newest.second, 0)}
    if values.bound is None:
        return _("Cost fell from {first} to {newest} in {seconds} seconds.").format(**fell)
    return _("Cost fell from {first} to {newest} in {seconds} seconds; no plan can cost less than {bound}.").format(
        **fell, bound=number(values.bound, 0)
    )
