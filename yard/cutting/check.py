"""What is wrong with a cutting plan, judged from panels and roll alone: shares no code with what made it.

Every fault is told, none raised: a plan that is nonsense is told to be so.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from yard.cutting.values import CuttingPlan, Panel, Piece, Placed, Roll, SheetPlan
from yard.speech import _


@dataclass(frozen=True, slots=True)
class Fault:
    """rule: one of places, overlap, edge, grain, match, length, sheets, pieces. words: what is wrong."""

    rule: str
    words: str


def roll_faults(plan: CuttingPlan) -> list[Fault]:
    """Whether the plan holds for its own pieces and roll."""
    roll, whole = plan.roll, _everything_once(plan.pieces, plan.placed)
    if whole:
        return whole
    boxes = [_box(plan.pieces[spot.piece], spot) for spot in plan.placed]
    faults = [*_grain(plan.pieces, plan.placed), *_overlaps(plan.pieces, plan.placed, boxes, roll.gap_mm)]
    for spot, (x0, y0, x1, _y1) in zip(plan.placed, boxes, strict=True):
        if x0 < roll.selvage_mm or x1 > roll.width_mm - roll.selvage_mm or y0 < 0:
            faults.append(
                Fault(
                    "edge",
                    _("{piece} lies beyond the cloth that may be used").format(piece=plan.pieces[spot.piece].name),
                )
            )
        if spot.sheet:
            faults.append(Fault("edge", _("{piece} lies on another roll").format(piece=plan.pieces[spot.piece].name)))
    ends = max(box[3] for box in boxes)
    if ends != plan.length_mm:
        faults.append(
            Fault(
                "length",
                _("the plan says {length_mm} mm and ends at {ends} mm").format(length_mm=plan.length_mm, ends=ends),
            )
        )
    if plan.bound_mm > ends:
        faults.append(
            Fault("length", _("the bound of {bound_mm} mm is longer than the plan").format(bound_mm=plan.bound_mm))
        )
    return faults + list(_pattern(plan.pieces, plan.placed, roll.repeat_mm))


def sheet_faults(plan: SheetPlan) -> list[Fault]:
    """The same for sheets of foam."""
    whole = _everything_once(plan.pieces, plan.placed)
    if whole:
        return whole
    boxes = [_box(plan.pieces[spot.piece], spot) for spot in plan.placed]
    faults = [*_grain(plan.pieces, plan.placed), *_overlaps(plan.pieces, plan.placed, boxes, plan.sheet.gap_mm)]
    for spot, (x0, y0, x1, y1) in zip(plan.placed, boxes, strict=True):
        if min(x0, y0) < 0 or x1 > plan.sheet.width_mm or y1 > plan.sheet.length_mm:
            faults.append(Fault("edge", _("{piece} lies beyond its sheet").format(piece=plan.pieces[spot.piece].name)))
    used = {spot.sheet for spot in plan.placed}
    if used != set(range(plan.sheets)):
        faults.append(
            Fault(
                "sheets",
                _("the plan says {sheets} sheets and uses {used}").format(sheets=plan.sheets, used=sorted(used)),
            )
        )
    if plan.bound > plan.sheets:
        faults.append(
            Fault("sheets", _("the bound of {bound} sheets is more than the plan's").format(bound=plan.bound))
        )
    return faults


def piece_faults(panels: Iterable[Panel], roll: Roll, pieces: Sequence[Piece]) -> list[Fault]:
    """Whether the pieces make the panels: of each as many, none smaller, none turned that must not be."""
    faults = []
    left = Counter(piece.name for piece in pieces)
    by_name = {piece.name: piece for piece in pieces}
    for panel in panels:
        for number in range(1, panel.count + 1):
            name = panel.name if panel.count == 1 else f"{panel.name} {number}"
            mine = _cloths_of(name, by_name)
            faults += [Fault("pieces", words) for words in _wrong(panel, roll, [by_name[n] for n in mine])]
            left.subtract(mine)
    return faults + [
        Fault("pieces", _("{name} belongs to no panel").format(name=name)) for name, count in left.items() if count
    ]


def _cloths_of(name: str, names: Collection[str]) -> list[str]:
    """Those of the names that say this panel, whole or in cloths."""
    mine = [name] if name in names else []
    for parts in range(2, len(names) + 1):
        words = [_("{name}, cloth {part} of {parts}").format(name=name, part=n + 1, parts=parts) for n in range(parts)]
        if found := [each for each in words if each in names]:
            return mine + found
        if mine:
            break
    return mine


def _wrong(panel: Panel, roll: Roll, cloths: Sequence[Piece]) -> Iterator[str]:
    """What is missing of one panel. Its seams between cloths are not its finished width."""
    if not cloths:
        yield _("{panel} is not cut").format(panel=panel.name)
        return
    long = panel.length_mm + panel.ends.first_mm + panel.ends.second_mm
    wide = panel.width_mm + panel.sides.first_mm + panel.sides.second_mm
    seams = 2 * roll.join_mm * (len(cloths) - 1)
    across_roll = panel.grain == "across"
    joined, kept = sum(cloth.across_mm for cloth in cloths) - seams, {cloth.along_mm for cloth in cloths}
    if (joined, kept) != ((long, {wide}) if across_roll else (wide, {long})):
        yield _("{panel} would be {joined} across and {kept} along, not {long} × {wide}").format(
            panel=panel.name, joined=joined, kept=sorted(kept), long=long, wide=wide
        )
    if any(cloth.may_turn for cloth in cloths) and panel.grain != "any":
        yield _("{panel} might be turned, and its grain is {grain}").format(panel=panel.name, grain=panel.grain)
    if roll.repeat_mm and (panel.matched or len(cloths) > 1) and any(cloth.match_mm < 0 for cloth in cloths):
        yield _("{panel} is matched, and a cloth of it is laid anywhere").format(panel=panel.name)


def _everything_once(pieces: Sequence[Piece], placed: Sequence[Placed]) -> list[Fault]:
    if not placed or sorted(spot.piece for spot in placed) != list(range(len(pieces))):
        return [Fault("places", _("not every piece has one place"))]
    return []


def _box(piece: Piece, spot: Placed) -> tuple[int, int, int, int]:
    across, along = piece.across_mm, piece.along_mm
    if spot.turned:
        across, along = along, across
    return spot.x_mm, spot.y_mm, spot.x_mm + across, spot.y_mm + along


def _grain(pieces: Sequence[Piece], placed: Sequence[Placed]) -> Iterator[Fault]:
    for spot in placed:
        if spot.turned and not pieces[spot.piece].may_turn:
            yield Fault("grain", _("{piece} is turned against its grain").format(piece=pieces[spot.piece].name))


def _overlaps(
    pieces: Sequence[Piece], placed: Sequence[Placed], boxes: Sequence[tuple[int, int, int, int]], gap: int
) -> Iterator[Fault]:
    for (one, a), (other, b) in combinations(zip(placed, boxes, strict=True), 2):
        beside = b[0] - a[2] >= gap or a[0] - b[2] >= gap
        after = b[1] - a[3] >= gap or a[1] - b[3] >= gap
        if one.sheet == other.sheet and not beside and not after:
            yield Fault(
                "overlap",
                _("{piece} and {other} lie over one another").format(
                    piece=pieces[one.piece].name, other=pieces[other.piece].name
                ),
            )


def _pattern(pieces: Sequence[Piece], placed: Sequence[Placed], repeat: int) -> Iterator[Fault]:
    """Every matched piece meets the pattern at the same phase."""
    if not repeat:
        return
    met = {
        spot.piece: (spot.y_mm + pieces[spot.piece].match_mm) % repeat
        for spot in placed
        if pieces[spot.piece].match_mm >= 0
    }
    usual = Counter(met.values()).most_common(1)
    for piece, phase in met.items():
        if phase != usual[0][0]:
            yield Fault(
                "match",
                _("{piece} meets the pattern {phase} mm on, others {others} mm").format(
                    piece=pieces[piece].name, phase=phase, others=usual[0][0]
                ),
            )
