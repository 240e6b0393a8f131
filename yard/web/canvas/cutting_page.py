"""A cutting plan as its page shows it: the picture, the same as a table, how good it is, what it costs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.utils.translation import gettext as _

from yard.cutting.values import CuttingPlan, Piece, Placed, SheetPlan, sides_of
from yard.models import Purchase, TakeOff
from yard.pictures.cutting import Cut, CuttingInput, CuttingRow, Mark, lay_out
from yard.services.take_off import NESTED, ROWS, is_old, plan_of
from yard.web.boats.words import figure
from yard.web.canvas.tape import in_tape, needed_words

ROW_MM = 3000
"""Three metres of roll on a line: an A4 page holds two such lines of a roll 1.5 m wide."""


@dataclass(frozen=True)
class PieceLine:
    """One piece of the table: where it begins along the roll (or on which sheet), how far from the left edge."""

    number: int
    name: str
    size: str
    along: str
    across: str
    turned: str


@dataclass(frozen=True)
class Way:
    """One way to cut it. gap: how much longer than any plan must be; price: None where the material has none."""

    key: str
    name: str
    length: str
    bound: str
    gap_pct: float
    proved: bool
    waste_pct: float
    order: str
    price: Decimal | None
    chosen: bool


@dataclass(frozen=True)
class CuttingPage:
    row: TakeOff
    rows: tuple[CuttingRow, ...]
    table: tuple[PieceLine, ...]
    ways: tuple[Way, ...]
    how: str
    old: bool
    looking_since: datetime | None
    facts: str
    purchase: Purchase | None


def cutting_page(row: TakeOff, *, inches: bool) -> CuttingPage:
    plan = plan_of(row)
    since = row.plan.get("looking_since") or ""
    ways = [_way(row, NESTED, _("nested"), inches)]
    if row.plan["rows"]:
        ways.append(_way(row, ROWS, _("in rows right across"), inches))
    return CuttingPage(
        row=row,
        rows=pictures(plan, row.material.name, inches=inches),
        table=tuple(_lines(plan, inches)),
        ways=tuple(ways),
        how=_(plan.how),
        old=is_old(row),
        looking_since=datetime.fromisoformat(since) if since else None,
        facts=_facts(row, inches),
        purchase=Purchase.objects.filter(order=row.order, material=row.material)
        .exclude(state=Purchase.State.CANCELLED)
        .first(),
    )


def pictures(plan: CuttingPlan | SheetPlan, name: str, *, inches: bool) -> tuple[CuttingRow, ...]:
    """Lengths of a roll, or one picture for each sheet."""
    step = 914 if inches else 500
    if isinstance(plan, CuttingPlan):
        matched = next((s for s in plan.placed if plan.pieces[s.piece].match_mm >= 0), None)
        begins = matched.y_mm + plan.pieces[matched.piece].match_mm if matched else 0
        roll = plan.roll
        return lay_out(
            CuttingInput(
                name,
                roll.width_mm,
                plan.length_mm,
                ROW_MM,
                tuple(_cut(plan, spot, inches) for spot in _sorted(plan.placed)),
                _marks(plan.length_mm, step, inches),
                roll.selvage_mm,
                roll.repeat_mm,
                begins,
            )
        )
    found: list[CuttingRow] = []
    for number in range(plan.sheets):
        on = [spot for spot in _sorted(plan.placed) if spot.sheet == number]
        found += lay_out(
            CuttingInput(
                _("{name}, sheet {n}").format(name=name, n=number + 1),
                plan.sheet.width_mm,
                plan.sheet.length_mm,
                max(plan.sheet.length_mm, ROW_MM),
                tuple(_cut(plan, spot, inches) for spot in on),
                _marks(plan.sheet.length_mm, step, inches),
            )
        )
    return tuple(found)


def _sorted(placed: tuple[Placed, ...]) -> list[Placed]:
    return sorted(placed, key=lambda spot: spot.piece)


def _marks(length: int, step: int, inches: bool) -> tuple[Mark, ...]:
    if inches:
        return tuple(Mark(round(n * 914.4), f"{n} yd" if n else "0") for n in range(length // step + 1))
    return tuple(Mark(at, f"{figure(at / 1000)} m" if at else "0") for at in range(0, length + 1, step))


def _cut(plan: CuttingPlan | SheetPlan, spot: Placed, inches: bool) -> Cut:
    piece = plan.pieces[spot.piece]
    across, along = sides_of(piece, spot.turned)
    return Cut(spot.piece + 1, _called(plan, piece), spot.y_mm, spot.x_mm, along, across, _size(piece, inches))


def _called(plan: CuttingPlan | SheetPlan, piece: Piece) -> str:
    """“dodger: side 1”; “side 1” where all that is cut belongs to one piece of the order, as the page's head says."""
    of, _colon, alone = piece.name.partition(": ")
    return alone if alone and all(each.name.startswith(f"{of}: ") for each in plan.pieces) else piece.name


def _size(piece: Piece, inches: bool) -> str:
    return f"{in_tape(piece.along_mm, inches=inches)} × {in_tape(piece.across_mm, inches=inches)}"


def _lines(plan: CuttingPlan | SheetPlan, inches: bool) -> list[PieceLine]:
    found = []
    for spot in _sorted(plan.placed):
        piece = plan.pieces[spot.piece]
        along = in_tape(spot.y_mm, inches=inches)
        if isinstance(plan, SheetPlan):
            along = _("sheet {n}, {along}").format(n=spot.sheet + 1, along=along)
        found.append(
            PieceLine(
                spot.piece + 1,
                _called(plan, piece),
                _size(piece, inches),
                along,
                in_tape(spot.x_mm, inches=inches),
                _("turned") if spot.turned else _("matched") if piece.match_mm >= 0 else "",
            )
        )
    return found


def _way(row: TakeOff, key: str, name: str, inches: bool) -> Way:
    plan, kept = plan_of(row, key), row.plan[key]

    def say(quantity: int) -> str:
        return needed_words(quantity, foam=row.material.is_foam, inches=inches)

    return Way(
        key=key,
        name=name,
        length=say(kept["length"]),
        bound=say(kept["bound"]),
        gap_pct=100 * plan.gap_share,
        proved=plan.proved,
        waste_pct=100 * plan.waste_share,
        order=say(kept["order"]),
        price=row.material.cost_of(kept["order"]),
        chosen=row.plan["chosen"] == key,
    )


def _facts(row: TakeOff, inches: bool) -> str:
    """The figures of the material that the plan minds: "Width 1500 mm, selvage 10 mm"."""
    material = row.material
    told: list[tuple[str, int | None]] = [(_("Width {length}"), material.width_mm)]
    if material.is_foam:
        told += [(_("sheet {length}"), material.length_mm), (_("thickness {length}"), material.thickness_mm)]
    told += [
        (_("selvage {length}"), material.selvage_mm),
        (_("pattern repeat {length}"), material.repeat_mm),
        (_("between pieces {length}"), material.gap_mm),
    ]
    return ", ".join(words.format(length=in_tape(mm, inches=inches)) for words, mm in told if mm)
