"""A small made yard for canvas: one boat, one order with a cut and a sew, navy cloth, foam, a supplier."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from yard.models import (
    Boat,
    CanvasPanel,
    CanvasPiece,
    Fact,
    FactKind,
    Job,
    JobKind,
    JobWay,
    Material,
    Order,
    Supplier,
    YardSettings,
)

NOW = datetime(2027, 2, 3, 15, tzinfo=UTC)
TODAY = date(2027, 2, 3)


@dataclass(frozen=True)
class CanvasYard:
    boat: Boat
    order: Order
    piece: CanvasPiece
    cloth: Material
    foam: Material
    fact: Fact
    sew: Job


def canvas_yard() -> CanvasYard:
    YardSettings.objects.create(name="Tallow Creek Yard", time_zone="America/New_York", clock_frozen_at=NOW)
    boat = Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)
    supplier = Supplier.objects.create(
        name="Harbour Cloth", lead_days_least=3, lead_days_usual=10, lead_days_most=21, source="made for tests"
    )
    cloth = Material.objects.create(
        name="navy", width_mm=1500, join_mm=15, sold_by_mm=100, supplier=supplier, price="30", source="made for tests"
    )
    foam = Material.objects.create(
        kind="foam", name="foam 100", width_mm=1000, length_mm=2000, thickness_mm=100, source="made for tests"
    )
    order, fact, sew = canvas_order(boat, "27-0001")
    piece = CanvasPiece.objects.create(order=order, kind="cover", name="cover")
    return CanvasYard(boat, order, piece, cloth, foam, fact, sew)


def canvas_order(boat: Boat, ref: str) -> tuple[Order, Fact, Job]:
    order = Order.objects.create(ref=ref, boat=boat, name="Canvas order", made_at=NOW, wanted_date=date(2027, 4, 30))
    jobs = []
    for number, key in enumerate(("cut", "sew")):
        kind, _ = JobKind.objects.get_or_create(
            key=key, defaults={"name": key, "short_name": key, "letter": key[0].upper(), "trade": "loft"}
        )
        job = Job.objects.create(order=order, kind=kind, key=key, name=key.title(), sequence=number)
        JobWay.objects.create(job=job, duration_min=240)
        jobs.append(job)
    fact = Fact.objects.create(kind=FactKind.CLOTH, name="cloth", order=order, set_at=NOW)
    fact.jobs.add(jobs[0])
    return order, fact, jobs[1]


def panel(yard: CanvasYard, name: str = "top", **more: Any) -> CanvasPanel:
    values = {"length_mm": 2000, "width_mm": 1400, "material": yard.cloth, "ends_mm": 40, "sides_mm": 15}
    return CanvasPanel.objects.create(piece=more.pop("piece", yard.piece), name=name, **(values | more))
