"""Pieces of canvas orders with how far each has come, and the materials that they are cut from."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Prefetch, QuerySet
from django.utils.translation import gettext as _

from yard.models import Boat, CanvasPanel, CanvasPiece, CanvasProgress, Material, Order, Purchase, TakeOff

Stage = CanvasProgress.Stage
STAGES = tuple(Stage)
ELSEWHERE = frozenset({Stage.CLOTH, Stage.CUT, Stage.SEWN})
"""Of a piece that is sewn elsewhere: reached when it comes back."""


@dataclass(frozen=True)
class PieceState:
    """said: what was ticked, by stage. reached: that, and what follows from cloth and from who sews it elsewhere.

    panels: those that stand; taken_out: the others.

    cloth_here: None where it has no panel yet. next: the first stage not reached; None once it is fitted, whatever
    nobody wrote down on the way. late_back: sent out, not back, and
    its day has passed. back_likely: its day and the usual slip.
    """

    piece: CanvasPiece
    said: dict[str, CanvasProgress]
    reached: frozenset[str]
    panels: tuple[CanvasPanel, ...]
    taken_out: tuple[CanvasPanel, ...]
    cloth_here: bool | None
    next: Stage | None
    late_back: bool
    back_likely: date | None

    @property
    def next_words(self) -> str:
        """What it waits for, in words."""
        if self.next is None:
            return _("nothing: it is fitted")
        if self.back_likely is not None and self.next in ELSEWHERE:
            return _("back from {who}").format(who=self.piece.sent_to)
        return str(self.next.label)


def pieces() -> QuerySet[CanvasPiece]:
    """With order, boat, options, progress that counts, and panels; four queries, however many."""
    return (
        CanvasPiece.objects.select_related("order__boat", "sent_to")
        .prefetch_related(
            "options",
            Prefetch(
                "progress",
                CanvasProgress.objects.filter(taken_back_at=None).select_related("said_by"),
            ),
            Prefetch("panels", CanvasPanel.objects.select_related("material").order_by("id")),
        )
        .order_by("order_id", "id")
    )


def states_of(rows: Iterable[CanvasPiece], *, today: date) -> list[PieceState]:
    """One query for the purchases, and none for each piece of `pieces()`."""
    found = list(rows)
    here = set(
        Purchase.objects.filter(
            order__in={row.order_id for row in found}, state__in=[Purchase.State.HERE, Purchase.State.CUT]
        ).values_list("order_id", "material_id")
    )
    return [_state(row, here, today) for row in found]


def of_boat(boat: Boat, *, today: date) -> list[PieceState]:
    """Every piece ever made for her, the newest order first."""
    rows = pieces().filter(archived=False, order__boat=boat).order_by("-order__made_at", "-order_id", "id")
    return states_of(rows, today=today)


def in_work(*, today: date) -> list[PieceState]:
    """Every piece of an open order that is not fitted yet, those sent out and late first."""
    fitted = CanvasProgress.objects.filter(stage=Stage.FITTED, taken_back_at=None).values("piece")
    rows = pieces().filter(archived=False, order__state=Order.State.OPEN).exclude(pk__in=fitted)
    states = states_of(rows, today=today)
    return sorted(states, key=lambda state: (not state.late_back, state.piece.order.promised_date or date.max))


def earlier_pieces(piece: CanvasPiece) -> list[CanvasPiece]:
    """Such pieces of the boat's other orders, with panels, the newest first: where last time's measures are."""
    if piece.order.boat_id is None:
        return []
    with_panels = CanvasPanel.objects.filter(taken_out_at=None).values("piece")
    like = CanvasPiece.objects.filter(order__boat=piece.order.boat_id, kind=piece.kind, pk__in=with_panels)
    return list(like.exclude(order=piece.order_id).select_related("order").order_by("-order__made_at", "-id")[:12])


def _state(piece: CanvasPiece, here: set[tuple[int, int]], today: date) -> PieceState:
    said = {row.stage: row for row in piece.progress.all()}  # those that count: pieces() reads no others
    panels = tuple(panel for panel in piece.panels.all() if panel.taken_out_at is None)
    materials = {panel.material_id for panel in panels}
    cloth = all((piece.order_id, material) in here for material in materials) if materials else None
    back = ELSEWHERE if piece.back_on is not None else frozenset()
    reached = frozenset(said) | back | (frozenset({Stage.CLOTH}) if cloth else frozenset())
    out = piece.sent_on is not None and piece.back_on is None
    likely = piece.back_by_date + timedelta(days=piece.usual_slip_days) if out and piece.back_by_date else None
    return PieceState(
        piece=piece,
        said=said,
        reached=reached,
        panels=panels,
        taken_out=tuple(panel for panel in piece.panels.all() if panel.taken_out_at is not None),
        cloth_here=cloth,
        next=None if Stage.FITTED in reached else next((stage for stage in STAGES if stage not in reached), None),
        late_back=bool(out and piece.back_by_date and piece.back_by_date < today),
        back_likely=likely,
    )


@dataclass(frozen=True)
class MaterialOfOrder:
    """A material that panels of an order are cut from, its take-off if it was made, its line of the buying list."""

    material: Material
    panels: int
    take_off: TakeOff | None
    purchase: Purchase | None


def materials_of(order: Order) -> list[MaterialOfOrder]:
    """Three queries."""
    panels = CanvasPanel.objects.filter(piece__order=order, piece__archived=False, taken_out_at=None)
    counted: dict[Material, int] = {}
    for panel in panels.select_related("material").order_by("material__name", "id"):
        counted[panel.material] = counted.get(panel.material, 0) + panel.count
    offs = {row.material_id: row for row in TakeOff.objects.filter(order=order).select_related("material", "order")}
    bought = {
        row.material_id: row for row in Purchase.objects.filter(order=order).exclude(state=Purchase.State.CANCELLED)
    }
    return [MaterialOfOrder(each, count, offs.get(each.pk), bought.get(each.pk)) for each, count in counted.items()]
