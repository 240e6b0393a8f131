"""Pieces laid one after another on the lowest part of the edge that they have grown to so far.

Best fit by score on the skyline: of the pieces that fit the lowest ledge, one that fills its width or levels with a
neighbour goes first; among equals, the order given decides. Published as an improvement of best fit by Leung, Zhang
and Sim, A two-stage intelligent search algorithm for the two-dimensional strip packing problem, European Journal of
Operational Research 215 (2011); the scoring here is written from its description (from memory), with turning, gaps
and pattern repeats added.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

FAR = 1 << 40
"""Higher than anything laid: the selvages."""


@dataclass(frozen=True, slots=True)
class Kind:
    """Pieces alike: across, along; whether they turn; match: where a line of the pattern lies, -1 for nowhere."""

    across: int
    along: int
    turns: bool
    match: int


@dataclass(frozen=True, slots=True)
class Spot:
    """One piece of a kind, laid."""

    kind: int
    x: int
    y: int
    turned: bool


@dataclass(slots=True)
class Ledge:
    x: int
    y: int
    width: int


def lay(kinds: Sequence[Kind], order: Sequence[int], width: int, repeat: int, *, scored: bool) -> list[Spot]:
    """Lay one piece for each entry of `order` (numbers of kinds), first come first unless another fits better.

    scored: whether fit goes before order. Every kind fits the width one way or the other.
    """
    left = [0] * len(kinds)
    for kind in order:
        left[kind] += 1
    queue = list(dict.fromkeys(order)) if scored else list(order)
    edge = [Ledge(0, 0, width)]
    spots: list[Spot] = []
    while len(spots) < len(order):
        at = min(range(len(edge)), key=lambda i: (edge[i].y, edge[i].x))
        found = _best(kinds, queue, left, edge, at, repeat, scored)
        if found is None:
            _fill(edge, at)
            continue
        number, turned, by_right = found
        kind = queue[number]
        spots.append(_put(kinds[kind], kind, turned, by_right, edge, at, repeat))
        left[kind] -= 1
        if not scored or not left[kind]:
            queue.pop(number)
    return spots


def _best(
    kinds: Sequence[Kind],
    queue: Sequence[int],
    left: Sequence[int],
    edge: list[Ledge],
    at: int,
    repeat: int,
    scored: bool,
) -> tuple[int, bool, bool] | None:
    """Which of the queue goes on this ledge, whether turned, and whether at its right end; None where none fits."""
    ledge = edge[at]
    wall_left = edge[at - 1].y - ledge.y if at else FAR
    wall_right = edge[at + 1].y - ledge.y if at + 1 < len(edge) else FAR
    tall, low = max(wall_left, wall_right), min(wall_left, wall_right)
    best: tuple[int, bool, bool] | None = None
    best_score = -1
    for number, kind in enumerate(queue):
        row = kinds[kind]
        for turned in (False, True) if row.turns and row.along != row.across else (False,):
            across, along = (row.along, row.across) if turned else (row.across, row.along)
            if across > ledge.width:
                continue
            tops = lift(ledge.y, row.match, repeat) - ledge.y + along
            score, low_side = _score(across == ledge.width, tops, tall, low)
            if score > best_score:
                best_score = score
                best = (number, turned, (wall_right > wall_left) != low_side)
        if best is not None and (not scored or best_score == 4):
            break
    return best


def _score(fills: bool, tops: int, tall: int, low: int) -> tuple[int, bool]:
    """How well it fits, 0 to 4, and whether it belongs beside the lower wall."""
    if fills:
        return (4 if tops in (tall, low) else 3 if tops < low else 2), False
    if tops == tall:
        return 2, False
    if tops == low:
        return 1, True
    return 0, False


def lift(y: int, match: int, repeat: int) -> int:
    """The first place from y upward at which a line of the pattern meets the piece where it must."""
    if match < 0 or not repeat:
        return y
    return y + (-(y + match)) % repeat


def _put(row: Kind, kind: int, turned: bool, by_right: bool, edge: list[Ledge], at: int, repeat: int) -> Spot:
    """Lay it on the ledge and raise the edge above it."""
    across, along = (row.along, row.across) if turned else (row.across, row.along)
    ledge = edge[at]
    y = lift(ledge.y, row.match, repeat)
    x = ledge.x + ledge.width - across if by_right else ledge.x
    raised = Ledge(x, y + along, across)
    rest = ledge.width - across
    if not rest:
        edge[at] = raised
    elif by_right:
        ledge.width = rest
        edge.insert(at + 1, raised)
        at += 1
    else:
        ledge.x, ledge.width = x + across, rest
        edge.insert(at, raised)
    _join(edge, at)
    return Spot(kind, x, y, turned)


def _fill(edge: list[Ledge], at: int) -> None:
    """Nothing fits: raise the ledge to its lower neighbour."""
    around = [edge[i].y for i in (at - 1, at + 1) if 0 <= i < len(edge)]
    edge[at].y = min(around)
    _join(edge, at)


def _join(edge: list[Ledge], at: int) -> None:
    """Ledges of one height beside one another are one."""
    if at + 1 < len(edge) and edge[at + 1].y == edge[at].y:
        edge[at].width += edge.pop(at + 1).width
    if at and edge[at - 1].y == edge[at].y:
        edge[at - 1].width += edge.pop(at).width
