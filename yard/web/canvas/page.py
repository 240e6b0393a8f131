"""The pieces of one order as its page shows them: progress, panels, options, what is cut from which material."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.utils.translation import gettext as _

from yard.models import CanvasOption, CanvasPanel, CanvasPiece, CanvasProgress, Material, Order, Purchase, TakeOff
from yard.queries.accounts import called
from yard.queries.canvas import (
    STAGES,
    MaterialOfOrder,
    PieceState,
    earlier_pieces,
    materials_of,
    pieces,
    states_of,
)
from yard.services.take_off import is_old
from yard.web.canvas.tape import in_tape, needed_words
from yard.web.orders.words import hours_words

Stage = CanvasProgress.Stage


@dataclass(frozen=True)
class Tick:
    """One stage of a piece. told: by whom and when it was said."""

    stage: str
    label: str
    done: bool
    told: str
    at: datetime | None
    by_hand: bool


@dataclass(frozen=True)
class Choice:
    option: CanvasOption
    on: bool
    costs: str


@dataclass(frozen=True)
class PanelRow:
    panel: CanvasPanel
    size: str
    edges: str
    lies: str


@dataclass(frozen=True)
class PieceRow:
    state: PieceState
    ticks: tuple[Tick, ...]
    panels: tuple[PanelRow, ...]
    gone: tuple[CanvasPanel, ...]
    choices: tuple[Choice, ...]
    earlier: tuple[CanvasPiece, ...]

    @property
    def piece(self) -> CanvasPiece:
        return self.state.piece

    @property
    def chosen(self) -> list[Choice]:
        return [choice for choice in self.choices if choice.on]


@dataclass(frozen=True)
class MaterialRow:
    """old: its panels changed since the take-off was made."""

    material: Material
    panels: int
    take_off: TakeOff | None
    needed: str
    old: bool
    purchase: Purchase | None


@dataclass(frozen=True)
class CanvasPage:
    order: Order
    rows: tuple[PieceRow, ...]
    archived: tuple[CanvasPiece, ...]
    materials: tuple[MaterialRow, ...]


def canvas_page(order: Order, *, today: date, inches: bool) -> CanvasPage:
    """About a dozen queries and one for each piece: an order has a handful."""
    found = list(pieces().filter(order=order))
    options = list(CanvasOption.objects.filter(archived=False).order_by("sequence", "name", "id"))
    states = states_of([piece for piece in found if not piece.archived], today=today)
    return CanvasPage(
        order=order,
        rows=tuple(_row(state, options, inches) for state in states),
        archived=tuple(piece for piece in found if piece.archived),
        materials=tuple(_material(each, inches) for each in materials_of(order)),
    )


def ticks_of(state: PieceState) -> tuple[Tick, ...]:
    found = []
    for stage in STAGES:
        said = state.said.get(stage)
        told = called(said.said_by, nobody=_("the yard")) if said else ""
        at = said.said_at if said else None
        found.append(Tick(stage.value, str(stage.label), stage in state.reached, told, at, stage != Stage.CLOTH))
    return tuple(found)


def _row(state: PieceState, options: list[CanvasOption], inches: bool) -> PieceRow:
    piece = state.piece
    chosen = {option.pk for option in piece.options.all()}
    fits = [option for option in options if option.pk in chosen or not option.kinds or piece.kind in option.kinds]
    return PieceRow(
        state=state,
        ticks=ticks_of(state),
        panels=tuple(_panel(panel, inches) for panel in state.panels),
        gone=state.taken_out,
        choices=tuple(Choice(option, option.pk in chosen, costs_words(option)) for option in fits),
        earlier=tuple(earlier_pieces(piece)),
    )


def costs_words(option: CanvasOption) -> str:
    """1.5 h more of sew, 3 % more cloth, cut to the pattern"""
    parts = []
    if option.extra_min:
        job = option.job_key.replace("_", " ")
        parts.append(_("{hours} more of {job}").format(hours=hours_words(option.extra_min), job=job))
    if option.cloth_pct:
        parts.append(_("{per_cent} % more cloth").format(per_cent=option.cloth_pct))
    if option.matches:
        parts.append(_("cut to the pattern"))
    return ", ".join(parts) or _("costs nothing more")


def _panel(panel: CanvasPanel, inches: bool) -> PanelRow:
    size = f"{in_tape(panel.length_mm, inches=inches)} × {in_tape(panel.width_mm, inches=inches)}"
    edges = _("none")
    if panel.ends_mm or panel.sides_mm:
        ends, sides = (in_tape(mm, inches=inches) for mm in (panel.ends_mm, panel.sides_mm))
        edges = _("ends {ends}, sides {sides}").format(ends=ends, sides=sides)
    lies = panel.get_grain_display()
    if panel.matched:
        lies = _("{grain}, matched").format(grain=lies)
    return PanelRow(panel, size, edges, lies)


def _material(each: MaterialOfOrder, inches: bool) -> MaterialRow:
    off = each.take_off
    foam = each.material.is_foam
    needed = needed_words(off.needed, foam=foam, inches=inches) if off else ""
    return MaterialRow(each.material, each.panels, off, needed, bool(off and is_old(off)), each.purchase)
