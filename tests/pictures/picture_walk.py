"""Find every shape of a picture and the room it takes, for tests of overlap and bounds."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass

from yard.pictures.labels import label_box
from yard.pictures.shapes import Disc, Label, Rect, Stroke

_NUMBER = r"-?\d+(?:\.\d+)?"


def shapes_of(value: object) -> Iterator[Rect | Label | Stroke | Disc]:
    """Every shape inside a picture, however deep."""
    if isinstance(value, Rect | Label | Stroke | Disc):
        yield value
    elif isinstance(value, tuple):
        for part in value:
            yield from shapes_of(part)
    elif is_dataclass(value):
        for field in fields(value):
            yield from shapes_of(getattr(value, field.name))


def path_points(d: str) -> Iterator[tuple[float, float]]:
    """The points a path of lines goes through; raises on a command the pictures do not use."""
    x = y = 0.0
    for command, rest in re.findall(r"([A-Za-z])([^A-Za-z]*)", d):
        numbers = [float(n) for n in re.findall(_NUMBER, rest)]
        if command in "ML":
            x, y = numbers
        elif command in "ml":
            x, y = x + numbers[0], y + numbers[1]
        elif command == "H":
            x = numbers[0]
        elif command == "h":
            x += numbers[0]
        elif command == "V":
            y = numbers[0]
        elif command != "Z":
            raise ValueError(f"path command {command!r} in {d!r}")
        yield x, y


def outside(value: object, width: float, height: float, slack: float = 1.0) -> list[object]:
    """Shapes of a picture that leave it by more than the slack."""
    return [shape for shape in shapes_of(value) if not _fits(shape, width + slack, height + slack, slack)]


def _fits(shape: Rect | Label | Stroke | Disc, right: float, bottom: float, slack: float) -> bool:
    match shape:
        case Rect():
            corners = [(shape.x, shape.y), (shape.right, shape.bottom)]
            if shape.width < 0 or shape.height < 0:
                return False
        case Label():
            if not shape.text:
                return True
            box = label_box(shape)
            corners = [(box.x, shape.y - 6), (box.right, shape.y)]
        case Stroke():
            corners = list(path_points(shape.d))
        case Disc():
            corners = [(shape.cx - shape.r, shape.cy - shape.r), (shape.cx + shape.r, shape.cy + shape.r)]
    return all(-slack <= x <= right and -slack <= y <= bottom for x, y in corners)
