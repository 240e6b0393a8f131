"""Shelves: rows right across the roll, so that one straight cut parts each from the next. Easier, often longer.

First fit by falling length is what books call FFDH (Coffman, Garey, Johnson and Tarjan, 1980); best fit beside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from yard.cutting.skyline import Kind, Spot, lift


@dataclass(slots=True)
class Shelf:
    """y: where it begins. spots: kind, x, turned. top: the end of what lies on it, from y."""

    used: int = 0
    length: int = 0
    spots: list[tuple[int, int, bool]] = field(default_factory=list)


def on_shelves(kinds: Sequence[Kind], counts: Sequence[int], width: int, repeat: int) -> list[Spot]:
    """The shortest of several ways of filling shelves."""
    tried = [
        _stand(kinds, _fill(kinds, counts, width, flat=flat, best=best), repeat)
        for flat in (False, True)
        for best in (False, True)
    ]
    return min(tried, key=lambda spots: length_of(kinds, spots))


def length_of(kinds: Sequence[Kind], spots: Sequence[Spot]) -> int:
    return max((s.y + (kinds[s.kind].across if s.turned else kinds[s.kind].along) for s in spots), default=0)


def _fill(kinds: Sequence[Kind], counts: Sequence[int], width: int, *, flat: bool, best: bool) -> list[Shelf]:
    """flat: turned so that they take little of the length, where they may; else as they are."""
    rows = []
    for number, kind in enumerate(kinds):
        turned = kind.turns and kind.across != kind.along and _turn(kind, width, flat)
        across, along = (kind.along, kind.across) if turned else (kind.across, kind.along)
        rows += [(along, across, number, turned)] * counts[number]
    rows.sort(key=lambda row: (row[0], row[1]), reverse=True)
    shelves: list[Shelf] = []
    for along, across, number, turned in rows:
        room = [shelf for shelf in shelves if shelf.used + across <= width]
        if not room:
            room = [Shelf(length=along)]
            shelves += room
        shelf = min(room, key=lambda each: width - each.used) if best else room[0]
        shelf.spots.append((number, shelf.used, turned))
        shelf.used += across
    return shelves


def _turn(kind: Kind, width: int, flat: bool) -> bool:
    if kind.along > width:
        return False
    return kind.across > width or (flat and kind.across < kind.along)


def _stand(kinds: Sequence[Kind], shelves: Sequence[Shelf], repeat: int) -> list[Spot]:
    """The shelves after one another; on each, matched pieces begin where the pattern lets them."""
    y, spots = 0, []
    for shelf in shelves:
        top = y
        for number, x, turned in shelf.spots:
            kind = kinds[number]
            at = lift(y, kind.match, repeat)
            spots.append(Spot(number, x, at, turned))
            top = max(top, at + (kind.across if turned else kind.along))
        y = top
    return spots
