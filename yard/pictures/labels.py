"""The room a label takes, and which labels to leave out so that none touches another."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from yard.pictures.lettering import text_width
from yard.pictures.shapes import Label, Rect, tenth

SIZES = {"x9": 9.5, "x10": 10.5, "x11": 11.5, "x12": 12.5, "x13": 13.5, "x14": 14.0}  # as in the stylesheet
_ASCENT, _DESCENT = 0.78, 0.22  # of the size: capitals and figures above the line, tails below (common practice)


def label_size(label: Label) -> float:
    """Size of the label's letters, from its class names."""
    return next((SIZES[name] for name in label.css.split() if name in SIZES), SIZES["x11"])


def label_box(label: Label) -> Rect:
    """The room the words take, by the table of widths."""
    size = label_size(label)
    names = label.css.split()
    width = text_width(label.text, size, bold="bd" in names)
    left = label.x - (width / 2 if "mid" in names else width if "end" in names else 0)
    return Rect(tenth(left), tenth(label.y - _ASCENT * size), tenth(width), tenth((_ASCENT + _DESCENT) * size))


def touch(one: Rect, other: Rect, *, gap: float = 0.0) -> bool:
    """Whether two boxes share any room, or come nearer to each other than `gap` sideways."""
    beside = one.x < other.right + gap and other.x < one.right + gap
    return beside and one.y < other.bottom and other.y < one.bottom


def keep_clear(labels: Iterable[Label], *, of: Sequence[Rect] = (), gap: float = 3.0) -> tuple[Label, ...]:
    """The labels that touch neither `of` nor one kept before them: give the important ones first."""
    taken = list(of)
    kept = []
    for label in labels:
        box = label_box(label)
        if label.text and not any(touch(box, other, gap=gap) for other in taken):
            kept.append(label)
            taken.append(box)
    return tuple(kept)


def inside(label: Label, left: float, right: float) -> Label:
    """The label moved sideways so that its words stay between two edges."""
    box = label_box(label)
    shift = min(0.0, right - box.right) or max(0.0, left - box.x)
    return Label(tenth(label.x + shift), label.y, label.text, label.css, label.title)
