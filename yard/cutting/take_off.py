"""The take-off: finished panels into the pieces that are cut, and how much cloth to order for a cutting plan."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from yard.cutting.values import MOST_PIECES, CuttingPlan, CuttingRefused, Edging, Grain, Panel, Piece, Roll, Sheet
from yard.speech import _


def cloth_pieces(panels: Iterable[Panel], roll: Roll) -> tuple[Piece, ...]:
    """Each panel with its seams and hems, as often as it is needed; one wider than the roll is joined of cloths.

    Cloths of one panel are equally wide, and matched to one another where the roll has a repeat.
    Raises CuttingRefused where there is nothing to cut, too much, or no way to cut it from this roll.
    """
    found: list[Piece] = []
    for panel in panels:
        cloths = _cloths(panel, roll)
        for number in range(panel.count):
            name = f"{panel.name} {number + 1}" if panel.count > 1 else panel.name
            found += [_named(cloth, name, part, len(cloths)) for part, cloth in enumerate(cloths)]
    return _few_enough(found)


def foam_pieces(panels: Iterable[Panel], sheet: Sheet) -> tuple[Piece, ...]:
    """Foam has no seams of its own: edgings are what it is cut larger by, so that it fills its cover.

    Raises CuttingRefused where a piece is larger than the sheet, either way round.
    """
    found: list[Piece] = []
    for panel in panels:
        length, width = panel.length_mm + panel.ends.both_mm, panel.width_mm + panel.sides.both_mm
        along, across = (width, length) if panel.grain is Grain.ACROSS else (length, width)
        may_turn = panel.grain is Grain.ANY
        fits = along <= sheet.length_mm and across <= sheet.width_mm
        if not fits and not (may_turn and across <= sheet.length_mm and along <= sheet.width_mm):
            raise CuttingRefused(
                _(
                    "“{panel}” is {length} × {width} mm: larger than a sheet of {sheet_length} × {sheet_width} mm. "
                    "Cut it in two panels, or choose a larger sheet."
                ).format(
                    panel=panel.name,
                    length=length,
                    width=width,
                    sheet_length=sheet.length_mm,
                    sheet_width=sheet.width_mm,
                )
            )
        for number in range(panel.count):
            name = f"{panel.name} {number + 1}" if panel.count > 1 else panel.name
            found.append(Piece(name, along, across, may_turn))
    return _few_enough(found)


def order_mm(plan: CuttingPlan, *, spare_pct: float = 0.0, sold_by_mm: int = 100) -> int:
    """How much cloth to order: the plan's length, what spares add, rounded up to how it is sold.

    Where pieces are matched, one repeat more: nobody knows where in the pattern the cloth that comes begins.
    """
    if not 0 <= spare_pct <= 100:
        raise CuttingRefused(
            _("Spare is {spare_pct:g} per cent: it must be from 0 to 100.").format(spare_pct=spare_pct)
        )
    if sold_by_mm < 1:
        raise CuttingRefused(_("Say in what steps the cloth is sold: 1 mm is the least."))
    matched = any(piece.match_mm >= 0 for piece in plan.pieces)
    hundredths = plan.length_mm * (10_000 + round(spare_pct * 100))
    needed = -(-hundredths // 10_000) + (plan.roll.repeat_mm if matched else 0)
    return -(-needed // sold_by_mm) * sold_by_mm


def _cloths(panel: Panel, roll: Roll) -> list[Piece]:
    """The cloths of one panel, side by side from its first side to its second."""
    length = panel.length_mm + panel.ends.both_mm
    whole = panel.width_mm + panel.sides.both_mm
    if panel.grain is Grain.ACROSS:
        return _across(panel, roll, length, whole)
    matched = panel.matched and roll.repeat_mm > 0
    may_turn = panel.grain is Grain.ANY
    if whole <= roll.usable_mm or (may_turn and length <= roll.usable_mm):
        return [Piece(panel.name, length, whole, may_turn, panel.ends.first_mm + panel.match_at_mm if matched else -1)]
    at = panel.ends.first_mm + panel.match_at_mm if roll.repeat_mm else -1
    return [Piece(panel.name, length, width, False, at) for width in _widths(panel, panel.width_mm, panel.sides, roll)]


def _across(panel: Panel, roll: Roll, length: int, whole: int) -> list[Piece]:
    """Its length lies across the roll: longer than the roll is wide, it is joined end to end."""
    matched = panel.matched and roll.repeat_mm > 0
    if length <= roll.usable_mm:
        return [Piece(panel.name, whole, length, False, panel.sides.first_mm + panel.match_at_mm if matched else -1)]
    at = panel.sides.first_mm + panel.match_at_mm if roll.repeat_mm else -1
    return [Piece(panel.name, whole, width, False, at) for width in _widths(panel, panel.length_mm, panel.ends, roll)]


def _widths(panel: Panel, finished: int, edges: Edging, roll: Roll) -> list[int]:
    """The fewest cloths that make this width; each is as wide as its share and its own seams ask."""
    least = 2 * roll.join_mm + 1
    for count in range(2, MOST_PIECES + 1):
        share, more = divmod(finished, count)
        if share < 1:
            break
        widths = [share + (1 if number < more else 0) + 2 * roll.join_mm for number in range(count)]
        widths[0] += edges.first_mm - roll.join_mm
        widths[-1] += edges.second_mm - roll.join_mm
        if max(widths) <= roll.usable_mm:
            return widths
    raise CuttingRefused(
        _(
            "“{panel}” cannot be joined of cloths {usable_mm} mm wide: with seams of {join_mm} mm a "
            "cloth needs at least {least} mm, and its hems must fit. Choose a wider roll or narrower "
            "seams."
        ).format(panel=panel.name, usable_mm=roll.usable_mm, join_mm=roll.join_mm, least=least)
    )


def _named(cloth: Piece, name: str, part: int, parts: int) -> Piece:
    shown = name if parts == 1 else _("{name}, cloth {part} of {parts}").format(name=name, part=part + 1, parts=parts)
    return Piece(shown, cloth.along_mm, cloth.across_mm, cloth.may_turn, cloth.match_mm)


def _few_enough(found: list[Piece]) -> tuple[Piece, ...]:
    if not found:
        raise CuttingRefused(_("There is nothing to cut: add a panel."))
    if len(found) > MOST_PIECES:
        raise CuttingRefused(
            _("{count} pieces are more than {most}: split the order.").format(count=len(found), most=MOST_PIECES)
        )
    if twice := [name for name, times in Counter(piece.name for piece in found).items() if times > 1]:
        raise CuttingRefused(
            _("Two pieces are called “{piece}”: give their panels names that differ.").format(piece=twice[0])
        )
    return tuple(found)
