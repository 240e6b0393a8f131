"""Materials and what lies in the yard of them, in words."""

from __future__ import annotations

from dataclasses import dataclass

from yard.models import Material, Stock
from yard.queries.cloth import StockRow
from yard.web.canvas.tape import in_tape, needed_words, price_typed


@dataclass(frozen=True)
class MaterialLine:
    """sold: as its supplier sells it. price: in the yard's money; "" where none is said."""

    material: Material
    sold: str
    price: str
    price_of: str


@dataclass(frozen=True)
class StockLine:
    """over: more is kept of it than there is."""

    stock: Stock
    left: str
    free: str
    over: bool
    kept_for: str


def material_lines(rows: list[Material], *, inches: bool) -> list[MaterialLine]:
    return [MaterialLine(row, _sold(row, inches), *_price(row, inches)) for row in rows]


def stock_lines(rows: list[StockRow], *, inches: bool) -> list[StockLine]:
    return [_stock(row, inches) for row in rows]


def _price(row: Material, inches: bool) -> tuple[str, str]:
    """ "25.15", "yard" """
    cloth = not row.is_counted
    of = ("yard" if inches else "metre") if cloth else row.counted_in
    return str(price_typed(row.price, cloth=cloth, inches=inches)) if row.price is not None else "", of


def _sold(row: Material, inches: bool) -> str:
    if row.kind == Material.Kind.PIECE:
        return "by the piece"
    if row.is_foam:
        size = f"{in_tape(row.length_mm, inches=inches)} × {in_tape(row.width_mm, inches=inches)}"
        return f"sheet {size}, {in_tape(row.thickness_mm, inches=inches)} thick"
    pattern = f", pattern every {in_tape(row.repeat_mm, inches=inches)}" if row.repeat_mm else ""
    return f"roll {in_tape(row.width_mm, inches=inches)} wide{pattern}"


def _stock(row: StockRow, inches: bool) -> StockLine:
    foam, one = row.stock.material.is_counted, row.stock.material.counted_in
    over = row.free < 0
    return StockLine(
        stock=row.stock,
        left=needed_words(row.stock.left, foam=foam, inches=inches, one=one),
        free=needed_words(max(0, row.free), foam=foam, inches=inches, one=one),
        over=over,
        kept_for=", ".join(row.kept_for) or "nobody",
    )
