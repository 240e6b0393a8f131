"""The take-off of one material of an order: panels off the rows, nested, checked, kept with what it was made from."""

from __future__ import annotations

import hashlib
import json
from dataclasses import astuple, dataclass
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.cutting.check import piece_faults, roll_faults, sheet_faults
from yard.cutting.nest import nest, nest_on_sheets, nest_on_shelves
from yard.cutting.stopping import Rounds
from yard.cutting.take_off import cloth_pieces, foam_pieces, order_mm
from yard.cutting.values import CuttingPlan, CuttingRefused, Edging, Grain, Panel, Piece, Placed, SheetPlan
from yard.models import CanvasPanel, Material, Order, TakeOff
from yard.services.facts_revision import bump_facts
from yard.services.keep_cloth import roll_of, sheet_of
from yard.services.order_package import demand_open
from yard.services.pen import sign

SOON, LONG = Rounds(700), Rounds(12_000)
"""While somebody waits (about half a second for 30 pieces on a quiet machine); when the worker looks longer."""
EXACT_S = 30.0
NESTED, ROWS = "nested", "rows"


class FaultyPlan(RuntimeError):
    """The check found a fault in a plan of our own: nothing was saved."""


@dataclass(frozen=True)
class Found:
    """The plans of one material. rows: the easier way to cut a roll, None for sheets. spare_pct: options counted."""

    plan: CuttingPlan | SheetPlan
    rows: CuttingPlan | None
    spare_pct: float


def panels_of(order: Order, material: Material) -> list[Panel]:
    """The panels that stand, each under its piece's name. An option may ask that all be matched. Two queries."""
    rows = (
        CanvasPanel.objects.filter(piece__order=order, piece__archived=False, material=material, taken_out_at=None)
        .select_related("piece")
        .prefetch_related("piece__options")
        .order_by("piece_id", "id")
    )
    return [_panel(row) for row in rows]


def _panel(row: CanvasPanel) -> Panel:
    matched = row.matched or (row.grain != "any" and any(each.matches for each in row.piece.options.all()))
    return Panel(
        name=f"{row.piece.name}: {row.name}",
        length_mm=row.length_mm,
        width_mm=row.width_mm,
        count=row.count,
        ends=Edging(row.ends_mm, row.ends_mm),
        sides=Edging(row.sides_mm, row.sides_mm),
        grain=Grain(row.grain),
        matched=matched,
        match_at_mm=row.match_at_mm,
    )


def spare_pct(order: Order, material: Material) -> int:
    """The material's own spare, and the most that an option of a piece cut from it asks."""
    asked = CanvasPanel.objects.filter(piece__order=order, material=material, taken_out_at=None, piece__archived=False)
    return material.spare_pct + max(
        (n or 0 for n in asked.values_list("piece__options__cloth_pct", flat=True)), default=0
    )


def fingerprint(panels: list[Panel], material: Material, spare: int) -> str:
    """Other panels, other figures of the material: another fingerprint."""
    said = [astuple(panel) for panel in panels]
    figures = [
        material.width_mm,
        material.length_mm,
        material.thickness_mm,
        material.selvage_mm,
        material.repeat_mm,
        material.gap_mm,
        material.join_mm,
        material.sold_by_mm,
        spare,
    ]
    return hashlib.sha256(json.dumps([said, figures]).encode()).hexdigest()


def is_old(row: TakeOff) -> bool:
    """Whether panels or figures changed since it was made. Three queries."""
    now = fingerprint(panels_of(row.order, row.material), row.material, spare_pct(row.order, row.material))
    return now != row.panels


def make_take_off(order: Order, material: Material, *, by: User | None, now: datetime, stop: Rounds = SOON) -> TakeOff:
    """Nest it now, in a second or so. The same panels and rounds again give the same plan.

    Raises CuttingRefused, and OrderRefused where the order is done or withdrawn.
    """
    demand_open(order)
    panels, spare = panels_of(order, material), spare_pct(order, material)
    found = _nested(panels, material, spare, stop=stop, exact_seconds=0.0)
    return _keep(order, material, fingerprint(panels, material, spare), found, by=by, now=now)


def look_longer(take_off_id: int, *, now: datetime) -> None:
    """In the worker: a shorter plan, or a better bound. Left alone where its panels changed meanwhile."""
    row = TakeOff.objects.select_related("order", "material").filter(pk=take_off_id).first()
    if row is None:
        return
    panels, spare = panels_of(row.order, row.material), spare_pct(row.order, row.material)
    if fingerprint(panels, row.material, spare) == row.panels:
        found = _nested(panels, row.material, spare, stop=LONG, exact_seconds=EXACT_S)
        before = _length(row.plan)
        if _length(_plain(found, row.material)) <= before:
            _keep(row.order, row.material, row.panels, found, by=row.made_by, now=now, chosen=row.plan["chosen"])
            return
    _looks_no_more(row)


def stop_looking(take_off_id: int) -> bool:
    """Nobody looks for a shorter plan any more. False where nobody did."""
    row = TakeOff.objects.filter(pk=take_off_id).first()
    return row is not None and bool(row.plan.get("looking_since")) and _looks_no_more(row)


def _looks_no_more(row: TakeOff) -> bool:
    over = row.plan | {"looking_since": ""}
    return TakeOff.objects.filter(pk=row.pk, version=row.version).update(plan=over) == 1


@transaction.atomic
def mark_looking(row: TakeOff, *, seen_version: int, by: User | None, now: datetime) -> TakeOff:
    """Somebody asked for a longer look. Raises StaleRow, OrderRefused."""
    demand_open(row.order)
    row.plan = row.plan | {"looking_since": now.isoformat()}
    sign(row, by=by, now=now, reason=_("asked to look longer"))
    return row.save_over(seen_version)


@transaction.atomic
def choose(row: TakeOff, chosen: str, *, seen_version: int, by: User | None, now: datetime) -> TakeOff:
    """Cut nested, or in rows right across. Raises StaleRow, OrderRefused, CuttingRefused."""
    demand_open(row.order)
    if chosen not in (NESTED, ROWS) or (chosen == ROWS and not row.plan["rows"]):
        raise CuttingRefused(_("It is not cut in that way: choose one of those that its page shows."))
    row.plan = row.plan | {"chosen": chosen}
    row.needed = row.chosen_way["order"]
    sign(row, by=by, now=now, reason=_("cut in rows") if chosen == ROWS else _("cut nested"))
    return row.save_over(seen_version)


def plan_of(row: TakeOff, chosen: str | None = None) -> CuttingPlan | SheetPlan:
    """The plan as it was kept."""
    kept = row.plan[chosen] if chosen is not None else row.chosen_way
    pieces = tuple(Piece(*piece) for piece in row.plan["pieces"])
    placed = tuple(Placed(*spot) for spot in kept["placed"])
    if row.material.is_foam:
        return SheetPlan(sheet_of(row.material), pieces, placed, kept["length"], kept["bound"], kept["how"])
    return CuttingPlan(roll_of(row.material), pieces, placed, kept["length"], kept["bound"], kept["how"])


def _nested(panels: list[Panel], material: Material, spare: int, *, stop: Rounds, exact_seconds: float) -> Found:
    """Raises CuttingRefused; FaultyPlan where our own check finds a fault."""
    if material.is_foam:
        sheet = sheet_of(material)
        sheets = nest_on_sheets(foam_pieces(panels, sheet), sheet, stop=stop, exact_seconds=exact_seconds)
        if faults := sheet_faults(sheets):
            raise FaultyPlan(faults[0].words)
        return Found(sheets, None, spare)
    roll = roll_of(material)
    pieces = cloth_pieces(panels, roll)
    plan = nest(pieces, roll, stop=stop, exact_seconds=exact_seconds)
    rows = nest_on_shelves(pieces, roll)
    if faults := [*piece_faults(panels, roll, pieces), *roll_faults(plan), *roll_faults(rows)]:
        raise FaultyPlan(faults[0].words)
    return Found(plan, rows, spare)


def _keep(
    order: Order,
    material: Material,
    panels: str,
    found: Found,
    *,
    by: User | None,
    now: datetime,
    chosen: str = NESTED,
) -> TakeOff:
    plain = _plain(found, material) | {"chosen": chosen}
    with transaction.atomic():
        bump_facts()
        row = TakeOff.objects.filter(order=order, material=material).first() or TakeOff(order=order, material=material)
        row.panels, row.plan, row.made_by, row.made_at = panels, plain, by, now
        row.needed = row.chosen_way["order"]
        sign(row, by=by, now=now, reason=_("taken off"))
        row.save()
    return row


def _plain(found: Found, material: Material) -> dict[str, Any]:
    """As JSON keeps it. order: what is to be ordered; use: what it takes off a roll that lies in the yard."""
    return {
        "pieces": [astuple(piece) for piece in found.plan.pieces],
        "nested": _one(found.plan, material, found.spare_pct),
        "rows": _one(found.rows, material, found.spare_pct) if found.rows is not None else None,
        "looking_since": "",
    }


def _one(plan: CuttingPlan | SheetPlan, material: Material, spare: float) -> dict[str, Any]:
    kept: dict[str, Any] = {"placed": [astuple(spot) for spot in plan.placed], "how": plan.how}
    if isinstance(plan, SheetPlan):
        return kept | {"length": plan.sheets, "bound": plan.bound, "order": plan.sheets, "use": plan.sheets}
    use = order_mm(plan, spare_pct=spare, sold_by_mm=1)
    order = order_mm(plan, spare_pct=spare, sold_by_mm=material.sold_by_mm)
    return kept | {"length": plan.length_mm, "bound": plan.bound_mm, "order": order, "use": use}


def _length(plain: dict[str, Any]) -> tuple[int, int]:
    """Shorter is better; among equals, the better bound."""
    return plain["nested"]["length"], -plain["nested"]["bound"]
