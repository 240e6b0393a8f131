"""Materials and what lies in the yard of them, in words."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.formats import number_format
from django.utils.translation import gettext as _

from yard.models import Material, Stock
from yard.queries.cloth import StockRow
from yard.web.canvas.tape import in_tape, needed_words, price_typed


@dataclass(frozen=True)
class MaterialLine:
    """sold: as its supplier sells it. price: in the yard's money; "" where none is said. price_of: of how much."""

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
    """ "25.15", "a yard" """
    if row.price is None:
        return "", ""
    return number_format(price_typed(row.price, cloth=not row.is_counted, inches=inches)), _price_of(row, inches)


def _price_of(row: Material, inches: bool) -> str:
    if row.is_counted:
        return _("a sheet") if row.is_foam else _("a piece")
    return _("a yard") if inches else _("a metre")


def _sold(row: Material, inches: bool) -> str:
    if row.kind == Material.Kind.PIECE:
        return _("by the piece")
    if row.is_foam:
        size = f"{in_tape(row.length_mm, inches=inches)} × {in_tape(row.width_mm, inches=inches)}"
        thick = in_tape(row.thickness_mm, inches=inches)
        return _("sheet {size}, {thickness} thick").format(size=size, thickness=thick)
    width, repeat = (in_tape(mm, inches=inches) for mm in (row.width_mm, row.repeat_mm))
    if row.repeat_mm:
        return _("roll {width} wide, pattern every {repeat}").format(width=width, repeat=repeat)
    return _("roll {width} wide").format(width=width)


def _stock(row: StockRow, inches: bool) -> StockLine:
    foam, one = row.stock.material.is_counted, row.stock.material.counted_in
    over = row.free < 0
    return StockLine(
        stock=row.stock,
        left=needed_words(row.stock.left, foam=foam, inches=inches, one=one),
        free=needed_words(max(0, row.free), foam=foam, inches=inches, one=one),
        over=over,
        kept_for=", ".join(row.kept_for) or _("nobody"),
    )
