"""The example's canvas orders: what each makes of which cloth, how far it has come, and what is bought for it.

All of it is read off the orders' jobs and facts, and changes none of them: the plan on the wall stays as it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db import transaction
from msgspec.structs import asdict

from yard.cutting.stopping import Rounds
from yard.models import (
    CanvasPanel,
    CanvasPiece,
    CanvasProgress,
    Fact,
    FactKind,
    Job,
    Material,
    Order,
    Place,
    PlaceKind,
    Purchase,
    Stock,
    Supplier,
    TakeOff,
)
from yard.services.canvas_options import bring_in_options
from yard.services.example_yard.description import CanvasFile, MadePiece, Panel
from yard.services.example_yard.pen import Pen
from yard.services.take_off import make_take_off

USUAL_BEAM_M = 2.5
SMALLEST, LARGEST = 0.6, 1.1
"""How much smaller or larger than the usual a panel may be, so that each fits its sheet of foam."""
ROUNDS = Rounds(25)
USUALLY_LATE_DAYS = 4
DONE_BY = {
    CanvasProgress.Stage.MEASURED: ("pattern", "template", "meet"),
    CanvasProgress.Stage.CUT: ("cut",),
    CanvasProgress.Stage.SEWN: ("sew",),
    CanvasProgress.Stage.TRIAL_FIT: ("trial_fit",),
    CanvasProgress.Stage.FITTED: ("fit", "hand_over"),
}
"""The job of an order whose end says that its pieces have come so far: the first that it has."""
SAID_BY = {CanvasProgress.Stage.APPROVED: FactKind.APPROVAL, CanvasProgress.Stage.DEPOSIT: FactKind.DEPOSIT}


@dataclass(frozen=True)
class Known:
    """An order with its jobs by key, and its facts by kind."""

    order: Order
    jobs: dict[str, Job]
    facts: dict[str, Fact]

    def job_of(self, stage: CanvasProgress.Stage) -> Job | None:
        return next((self.jobs[key] for key in DONE_BY[stage] if key in self.jobs), None)

    def has_come(self, stage: CanvasProgress.Stage) -> bool:
        job = self.job_of(stage)
        return job is not None and job.state == Job.State.DONE


@transaction.atomic
def write_canvas(about: CanvasFile, now: datetime, pen: Pen) -> None:
    """After all else of the example is written."""
    bring_in_options(by=pen.by, now=now)
    materials = _write_cloth(about, now, pen)
    orders = enumerate(_orders(about))
    made = [(known, drawn) for number, known in orders if (drawn := _drawn(known.order, about, both=number % 2 == 0))]
    pieces = [_piece(known, one, pen) for known, drawn in made for one in drawn]
    pen.insert(pieces, now)
    waiting = iter(pieces)
    panels, progress = [], []
    for known, drawn in made:
        for one in drawn:
            piece = next(waiting)
            panels += [_panel(panel, piece, materials) for panel in one.panels]
            progress += list(_progress(known, piece, pen))
    pen.insert(panels, now)
    pen.insert(progress, now)
    _buy([known for known, _ in made], now, pen)


def _write_cloth(about: CanvasFile, now: datetime, pen: Pen) -> dict[str, Material]:
    suppliers = {row.name: row for row in pen.insert([Supplier(**asdict(row)) for row in about.supplier], now)}
    rows = [
        Material(**asdict(row) | {"supplier": suppliers[row.supplier], "source": "invented for the example"})
        for row in about.material
    ]
    materials = {row.name: row for row in pen.insert(rows, now)}
    floor = Place.objects.filter(kind=PlaceKind.LOFT_FLOOR).order_by("id").first()
    stock = [Stock(material=materials[row.material], label=row.label, place=floor) for row in about.stock]
    for shelf, row in zip(about.stock, stock, strict=True):
        row.left = shelf.left
    pen.insert(stock, now)
    return materials


def _orders(about: CanvasFile) -> Iterator[Known]:
    rows = Order.objects.filter(package__key__in={piece.package for piece in about.piece}, boat__isnull=False)
    rows = rows.exclude(state=Order.State.CANCELLED).select_related("boat", "package").prefetch_related("jobs__facts")
    for order in rows.order_by("id"):
        jobs = {job.key: job for job in order.jobs.all()}
        yield Known(order, jobs, {fact.kind: fact for job in jobs.values() for fact in job.facts.all()})


def _drawn(order: Order, about: CanvasFile, *, both: bool) -> list[MadePiece]:
    """both: where a boat of her kind may have two pieces, she has."""
    assert order.boat is not None
    assert order.package is not None
    fits = [one for one in about.piece if one.package == order.package.key and order.boat.kind in one.boats]
    return fits if both else fits[:1]


def _piece(known: Known, one: MadePiece, pen: Pen) -> CanvasPiece:
    piece = CanvasPiece(order=known.order, kind=one.kind, name=one.name)
    if one.sent_to:
        piece.sent_to = Supplier.objects.get(name=one.sent_to)
        piece.usual_slip_days = USUALLY_LATE_DAYS
        sent, back = known.jobs.get("send_out"), known.facts.get(FactKind.CLOTH)
        if sent is not None and sent.actual_ends_at is not None and back is not None and back.expected_date is not None:
            piece.sent_on, piece.back_by_date = _day(sent.actual_ends_at, pen), back.expected_date
    return piece


def _panel(panel: Panel, piece: CanvasPiece, materials: dict[str, Material]) -> CanvasPanel:
    boat = piece.order.boat
    assert boat is not None
    scale = min(max(boat.beam_m / USUAL_BEAM_M, SMALLEST), LARGEST)
    sizes = {key: 5 * round(getattr(panel, key) * scale / 5) for key in ("length_mm", "width_mm")}
    return CanvasPanel(piece=piece, **asdict(panel) | sizes | {"material": materials[panel.material]})


def _progress(known: Known, piece: CanvasPiece, pen: Pen) -> Iterator[CanvasProgress]:
    for stage in DONE_BY:
        job = known.job_of(stage)
        if job is not None and job.state == Job.State.DONE:
            at = job.actual_ends_at or known.order.made_at
            yield CanvasProgress(piece=piece, stage=stage, said_by=pen.by, said_at=at)
    for stage, kind in SAID_BY.items():
        fact = known.facts.get(kind)
        if fact is None:  # her package asks for none
            yield CanvasProgress(piece=piece, stage=stage, said_by=pen.by, said_at=known.order.made_at)
        elif fact.state == Fact.State.HERE:
            yield CanvasProgress(piece=piece, stage=stage, said_by=pen.by, said_at=fact.set_at)


def _buy(orders: Sequence[Known], now: datetime, pen: Pen) -> None:
    """What open orders are cut from is taken off, and bought as the fact of their cloth says."""
    lines, stock = [], []
    for known in orders:
        cloth = known.facts.get(FactKind.CLOTH)
        if known.order.state != Order.State.OPEN or cloth is None:
            continue
        panels = CanvasPanel.objects.filter(piece__order=known.order).values("material")
        for material in Material.objects.filter(pk__in=panels).select_related("supplier").order_by("id"):
            off = make_take_off(known.order, material, by=pen.by, now=now, stop=ROUNDS)
            line = _line(off, known, cloth, pen)
            if line.state == Purchase.State.HERE:
                line.stock = Stock(material=material, label=known.order.ref)
                line.stock.left = line.quantity
                stock.append(line.stock)
            lines.append(line)
    pen.insert(stock, now)
    for line in lines:
        line.stock = line.stock  # its key is known by now
    pen.insert(lines, now)


def _line(off: TakeOff, known: Known, cloth: Fact, pen: Pen) -> Purchase:
    """What is told for a day is ordered, once she is measured; else it is to be ordered."""
    line = Purchase(order=off.order, material=off.material, quantity=off.needed)
    is_cut, told = known.has_come(CanvasProgress.Stage.CUT), cloth.expected_date
    if is_cut or cloth.state == Fact.State.HERE:
        line.state = Purchase.State.CUT if is_cut else Purchase.State.HERE
        line.here_on = cloth.here_since or _day(cloth.set_at, pen)
    elif told is not None and not cloth.guess and known.has_come(CanvasProgress.Stage.MEASURED):
        line.state, line.expected_date, line.told_by = Purchase.State.ORDERED, told, cloth.told_by
        line.ordered_on = min(told - timedelta(days=line.lead_days[1]), _day(cloth.set_at, pen))
    return line


def _day(at: datetime, pen: Pen) -> date:
    return at.astimezone(pen.zone).date()
