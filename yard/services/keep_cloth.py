"""What is particular to suppliers, materials, stock, options, pieces and panels when they are kept."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.cutting.values import MOST_MM, CuttingRefused, Roll, Sheet
from yard.models import CanvasOption, CanvasPanel, CanvasPiece, Material, Purchase, Stock, Supplier
from yard.models.checks import whole_quarters
from yard.services.keeping import Keeper, Words
from yard.services.order_package import why_closed

SUPPLIER_FIELDS = (
    "name",
    "reached_by",
    "lead_days_least",
    "lead_days_usual",
    "lead_days_most",
    "source",
    "notes",
)
MATERIAL_FIELDS = (
    "kind",
    "name",
    "supplier",
    "width_mm",
    "length_mm",
    "thickness_mm",
    "selvage_mm",
    "repeat_mm",
    "gap_mm",
    "join_mm",
    "sold_by_mm",
    "spare_pct",
    "price",
    "source",
    "notes",
)
STOCK_FIELDS = ("label", "length_mm", "sheets", "place", "note")
OPTION_FIELDS = ("name", "job_key", "extra_min", "matches", "cloth_pct", "source")
PIECE_FIELDS = (
    "kind",
    "name",
    "sent_to",
    "sent_on",
    "back_by_date",
    "usual_slip_days",
    "back_on",
    "notes",
)
PANEL_FIELDS = (
    "name",
    "material",
    "length_mm",
    "width_mm",
    "count",
    "ends_mm",
    "sides_mm",
    "grain",
    "matched",
    "match_at_mm",
    "measured_as",
)
LONGEST_LEAD_DAYS = 365


def _supplier(row: Supplier, values: Mapping[str, Any]) -> Words:
    if row.lead_days_most > LONGEST_LEAD_DAYS:
        return {"lead_days_most": (_("More than a year: was it typed in hours?"),)}
    return {}


def roll_of(row: Material) -> Roll:
    """Raises CuttingRefused."""
    return Roll(row.width_mm, row.selvage_mm, row.repeat_mm, row.gap_mm, row.join_mm)


def sheet_of(row: Material) -> Sheet:
    """Raises CuttingRefused."""
    return Sheet(row.length_mm or 0, row.width_mm, row.thickness_mm or 0, row.gap_mm)


def _material(row: Material, values: Mapping[str, Any]) -> Words:
    if row.kind == Material.Kind.PIECE:
        return {}
    if row.is_foam and not (row.length_mm and row.thickness_mm):
        return {}  # the model says what is missing
    try:
        sheet_of(row) if row.is_foam else roll_of(row)
    except CuttingRefused as refused:
        return {"": (str(refused),)}
    return {}


def _material_in_use(row: Material) -> str:
    waiting = row.purchases.filter(state__in=[Purchase.State.TO_ORDER, Purchase.State.ORDERED])
    refs = sorted(set(waiting.values_list("order__ref", flat=True)))
    return (
        _("It is on the buying list for {refs}: take it off there first.").format(refs=", ".join(refs)) if refs else ""
    )


def _supplier_in_use(row: Supplier) -> str:
    names = row.materials.filter(archived=False).order_by("name").values_list("name", flat=True)
    return _("Give {names} another supplier first.").format(names=", ".join(names)) if names else ""


def _stock(row: Stock, values: Mapping[str, Any]) -> Words:
    counted = row.material.is_counted
    if counted and row.length_mm:
        return {
            "length_mm": (
                _("{material} is counted by the {unit}.").format(material=row.material, unit=row.material.counted_in),
            )
        }
    if not counted and row.sheets:
        return {"sheets": (_("Cloth is measured along the roll."),)}
    if row.length_mm > MOST_MM:
        return {"length_mm": (_("More than a hundred metres on one roll: was it typed in another unit?"),)}
    return {}


def _stock_in_use(row: Stock) -> str:
    refs = sorted(set(row.kept_for.filter(state=Purchase.State.HERE).values_list("order__ref", flat=True)))
    return _("It is kept for {refs}.").format(refs=", ".join(refs)) if refs else ""


def _option(row: CanvasOption, values: Mapping[str, Any]) -> Words:
    try:
        if row.extra_min:
            whole_quarters(row.extra_min)
    except ValidationError as wrong:
        return {"extra_min": tuple(wrong.messages)}
    return {"cloth_pct": (_("More than twice the cloth cannot be right."),)} if row.cloth_pct > 100 else {}


def _piece(row: CanvasPiece, values: Mapping[str, Any]) -> Words:
    if closed := why_closed(row.order):
        return {"": (closed,)}
    if row.sent_on and row.back_by_date and row.back_by_date < row.sent_on:
        return {"back_by_date": (_("It is to be back before it was sent out: one of the two is wrong."),)}
    return {}


def _order_of_piece(row: CanvasPiece) -> str:
    return why_closed(row.order)


def _panel(row: CanvasPanel, values: Mapping[str, Any]) -> Words:
    if closed := why_closed(row.piece.order):
        return {"": (closed,)}
    wrong: dict[str, tuple[str, ...]] = {}
    for key in ("length_mm", "width_mm"):
        if getattr(row, key) > MOST_MM:
            wrong[key] = (_("More than a hundred metres: was it typed in another unit?"),)
    if row.count > 200:
        wrong["count"] = (_("More than two hundred alike: is it the right field?"),)
    if "material" in values and row.material.archived:
        wrong["material"] = (
            _("{material} is put away: bring it back, or choose another.").format(material=row.material),
        )
    return wrong


SUPPLIER = Keeper(
    Supplier,
    SUPPLIER_FIELDS,
    words={
        "reached_by": gettext_noop("is reached by"),
        "lead_days_least": gettext_noop("days at the least"),
        "lead_days_usual": gettext_noop("days usually"),
        "lead_days_most": gettext_noop("days at the most"),
        "source": gettext_noop("who said so"),
    },
    wrong_with=_supplier,
    keeps_open=_supplier_in_use,
)
MATERIAL = Keeper(
    Material,
    MATERIAL_FIELDS,
    words={
        "width_mm": gettext_noop("width of roll or sheet"),
        "length_mm": gettext_noop("length of a sheet"),
        "thickness_mm": gettext_noop("thickness"),
        "selvage_mm": gettext_noop("selvage at each edge"),
        "repeat_mm": gettext_noop("pattern comes again after"),
        "gap_mm": gettext_noop("between pieces"),
        "join_mm": gettext_noop("seam where cloths are joined"),
        "sold_by_mm": gettext_noop("sold in lengths of"),
        "spare_pct": gettext_noop("spare, per cent"),
        "price": gettext_noop("price of a metre or a sheet"),
    },
    wrong_with=_material,
    keeps_open=_material_in_use,
)
STOCK = Keeper(
    Stock,
    STOCK_FIELDS,
    words={
        "label": gettext_noop("written on it"),
        "length_mm": gettext_noop("left on the roll"),
        "place": gettext_noop("lies at"),
    },
    wrong_with=_stock,
    keeps_open=_stock_in_use,
)
OPTION = Keeper(
    CanvasOption,
    OPTION_FIELDS,
    words={
        "job_key": gettext_noop("job whose hours it changes"),
        "extra_min": gettext_noop("hours more"),
        "matches": gettext_noop("panels are cut to the pattern"),
        "cloth_pct": gettext_noop("more cloth, per cent"),
    },
    made_of_name="key",
    wrong_with=_option,
)
PIECE = Keeper(
    CanvasPiece,
    PIECE_FIELDS,
    words={
        "sent_to": gettext_noop("sewn elsewhere, by"),
        "sent_on": gettext_noop("sent out"),
        "back_by_date": gettext_noop("to be back by"),
        "usual_slip_days": gettext_noop("usually late by, days"),
        "back_on": gettext_noop("came back"),
    },
    wrong_with=_piece,
    keeps_open=_order_of_piece,
    shut=_order_of_piece,
)
PANEL = Keeper(
    CanvasPanel,
    PANEL_FIELDS,
    words={
        "length_mm": gettext_noop("finished length"),
        "width_mm": gettext_noop("finished width"),
        "count": gettext_noop("how many"),
        "ends_mm": gettext_noop("hem or seam at each end"),
        "sides_mm": gettext_noop("hem or seam at each side"),
        "matched": gettext_noop("its pattern meets its neighbours’ across the seam"),
        "match_at_mm": gettext_noop("a line of the pattern lies at"),
        "measured_as": gettext_noop("length from her measurements"),
    },
    wrong_with=_panel,
)
