"""The front door: pieces and a roll, or a sheet, into a cutting plan with its bound."""

from __future__ import annotations

from collections.abc import Sequence

from yard.cutting import exact, shelves
from yard.cutting.bound import sheet_bound, strip_bound, ways_of
from yard.cutting.improve import shortest
from yard.cutting.sheets import fewest
from yard.cutting.skyline import Kind, Spot
from yard.cutting.stopping import Rounds, Stop
from yard.cutting.values import MOST_MM, CuttingPlan, CuttingRefused, Piece, Placed, Roll, Sheet, SheetPlan
from yard.speech import _, gettext_noop

USUAL = Rounds(400)
ACROSS = gettext_noop("rows right across the roll")
FEW_ENOUGH = 60
"""Pieces that CP-SAT is asked about: beyond that it found nothing better in a minute (measured, tests/cutting)."""


def nest(
    pieces: Sequence[Piece], roll: Roll, *, stop: Stop = USUAL, seed: int = 1, exact_seconds: float = 0.0
) -> CuttingPlan:
    """The shortest cutting plan found, never longer than rows right across. The same seed and Rounds give the same
    plan, where exact_seconds is 0.

    exact_seconds: how long CP-SAT may look for a shorter one and a better bound. Raises CuttingRefused.
    """
    kinds, counts, numbers = _kinds(pieces, roll)
    width = roll.usable_mm + roll.gap_mm
    least = strip_bound(kinds, counts, width, roll.repeat_mm)
    spots = shortest(kinds, counts, width, roll.repeat_mm, least=least, stop=stop, seed=seed)
    how = gettext_noop("best fit on the skyline, improved by trying")
    rows = shelves.on_shelves(kinds, counts, width, roll.repeat_mm)
    if shelves.length_of(kinds, rows) < shelves.length_of(kinds, spots):
        spots, how = rows, ACROSS
    length = shelves.length_of(kinds, spots)
    if exact_seconds and length > least and len(pieces) <= FEW_ENOUGH:
        better = exact.shortest_strip(
            kinds, spots, width, roll.repeat_mm, least=least, most=length, seconds=exact_seconds
        )
        least = better.bound
        if better.spots:
            spots, how = better.spots, f"{how}, then CP-SAT"
    return _plan(pieces, roll, kinds, numbers, spots, least, how)


def nest_on_shelves(pieces: Sequence[Piece], roll: Roll) -> CuttingPlan:
    """Rows right across, each parted from the next by one straight cut. Raises CuttingRefused."""
    kinds, counts, numbers = _kinds(pieces, roll)
    width = roll.usable_mm + roll.gap_mm
    spots = shelves.on_shelves(kinds, counts, width, roll.repeat_mm)
    least = strip_bound(kinds, counts, width, roll.repeat_mm)
    return _plan(pieces, roll, kinds, numbers, spots, least, ACROSS)


def nest_on_sheets(
    pieces: Sequence[Piece], sheet: Sheet, *, stop: Stop = USUAL, seed: int = 1, exact_seconds: float = 0.0
) -> SheetPlan:
    """The fewest sheets found, of one thickness. Raises CuttingRefused."""
    wide, long = sheet.width_mm + sheet.gap_mm, sheet.length_mm + sheet.gap_mm
    kinds, counts, numbers = _grouped(pieces, sheet.gap_mm, 0, 0)
    for piece, kind in zip(pieces, (kinds[number] for number in numbers), strict=True):
        if not ways_of(kind, wide, long):
            raise CuttingRefused(
                _("“{piece}” is larger than the sheet: cut it in two, or choose a larger one.").format(piece=piece.name)
            )
    least = sheet_bound(kinds, counts, wide, long)
    laid = fewest(kinds, counts, wide, long, least=least, stop=stop, seed=seed)
    how = gettext_noop("largest free rectangle, improved by trying")
    used = 1 + max(row[1] for row in laid)
    while exact_seconds and used > least and len(pieces) <= FEW_ENOUGH:
        hint = [Spot(kind, x, min(on, used - 2) * long + y, turned) for kind, on, x, y, turned in laid]
        found = exact.on_sheets(kinds, hint, wide, long, used - 1, seconds=exact_seconds)
        if found == []:
            least = used
        if not found:
            break
        laid = [(spot.kind, spot.y // long, spot.x, spot.y % long, spot.turned) for spot in found]
        used, how = used - 1, gettext_noop("largest free rectangle, then CP-SAT")
    placed = _placed(numbers, [(kind, x, y, turned, on) for kind, on, x, y, turned in laid])
    return SheetPlan(sheet, tuple(pieces), placed, used, least, how)


def _kinds(pieces: Sequence[Piece], roll: Roll) -> tuple[list[Kind], list[int], list[int]]:
    """Kinds with their counts, and each piece's kind. The pattern begins where the largest matched piece has it."""
    if not pieces:
        raise CuttingRefused(_("There is nothing to cut."))
    matched = [piece for piece in pieces if piece.match_mm >= 0]
    phase = max(matched, key=lambda piece: piece.area_mm2).match_mm if matched else 0
    found = _grouped(pieces, roll.gap_mm, roll.repeat_mm, phase)
    for piece, kind in zip(pieces, (found[0][number] for number in found[2]), strict=True):
        if not ways_of(kind, roll.usable_mm + roll.gap_mm):
            raise CuttingRefused(
                _("“{piece}” is wider than the roll: join it of cloths, or choose a wider roll.").format(
                    piece=piece.name
                )
            )
    if sum(max(piece.along_mm, piece.across_mm) + roll.repeat_mm for piece in pieces) > 100 * MOST_MM:
        raise CuttingRefused(_("More than ten kilometres of cloth: were measures typed in another unit?"))
    return found


def _grouped(pieces: Sequence[Piece], gap: int, repeat: int, phase: int) -> tuple[list[Kind], list[int], list[int]]:
    of_kind: dict[Kind, int] = {}
    counts: list[int] = []
    numbers = []
    for piece in pieces:
        match = (piece.match_mm - phase) % repeat if piece.match_mm >= 0 and repeat else -1
        kind = Kind(piece.across_mm + gap, piece.along_mm + gap, piece.may_turn, match)
        if kind not in of_kind:
            of_kind[kind] = len(counts)
            counts.append(0)
        counts[of_kind[kind]] += 1
        numbers.append(of_kind[kind])
    return list(of_kind), counts, numbers


def _plan(
    pieces: Sequence[Piece],
    roll: Roll,
    kinds: Sequence[Kind],
    numbers: Sequence[int],
    spots: Sequence[Spot],
    least: int,
    how: str,
) -> CuttingPlan:
    placed = _placed(numbers, [(s.kind, s.x + roll.selvage_mm, s.y, s.turned, 0) for s in spots])
    length = shelves.length_of(kinds, spots) - roll.gap_mm
    return CuttingPlan(roll, tuple(pieces), placed, length, least - roll.gap_mm, how)


def _placed(numbers: Sequence[int], spots: Sequence[tuple[int, int, int, bool, int]]) -> tuple[Placed, ...]:
    """Pieces alike take the places of their kind in the order in which they lie, so that numbers run along the roll."""
    waiting: dict[int, list[tuple[int, int, int, bool, int]]] = {}
    for spot in sorted(spots, key=lambda each: (each[4], each[2], each[1]), reverse=True):
        waiting.setdefault(spot[0], []).append(spot)
    found = []
    for piece, kind in enumerate(numbers):
        _, x, y, turned, on = waiting[kind].pop()
        found.append(Placed(piece, x, y, turned, on))
    return tuple(found)
