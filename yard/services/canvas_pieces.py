"""Pieces of a canvas order: how far each has come, its options with what they cost, its panels from last time."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import datetime

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import (
    CanvasOption,
    CanvasPanel,
    CanvasPiece,
    CanvasProgress,
    Fact,
    FactKind,
    Job,
    JobWay,
    StaleRow,
)
from yard.services.change_order import Sender, set_hours
from yard.services.facts_revision import bump_facts
from yard.services.order_package import OrderRefused, demand_open, today_in_yard
from yard.services.pen import insert, sign
from yard.services.say_fact import Here, say_fact

Stage = CanvasProgress.Stage
SETTLES = {Stage.APPROVED: FactKind.APPROVAL, Stage.DEPOSIT: FactKind.DEPOSIT}
"""What every piece of an order has come to settles the order's own fact."""
LEAST_JOB_MIN = 15


class CanvasRefused(Exception):
    """This cannot be; the text says why and what to do. Nothing was saved."""


@transaction.atomic
def say_stage(piece: CanvasPiece, stage: str, *, by: User | None, now: datetime) -> CanvasProgress:
    """A piece has come so far. Said twice, it is said once. Where all pieces have, the order's fact is here.

    Raises CanvasRefused: an unknown stage, and cloth, which is here when what was bought is ticked off. Raises
    OrderRefused, as all that follow, where the order is done or withdrawn.
    """
    demand_open(piece.order)
    if stage not in Stage.values or stage == Stage.CLOTH:
        raise CanvasRefused(_("Cloth is ticked off on the buying list; the others are said here."))
    bump_facts()
    said = CanvasProgress.objects.filter(piece=piece, stage=stage, taken_back_at=None).first()
    if said is None:
        said = CanvasProgress.objects.create(piece=piece, stage=stage, said_by=by, said_at=now)
    if stage in SETTLES and _all_have(piece, stage):
        _settle(piece, SETTLES[Stage(stage)], by=by, now=now)
    return said


@transaction.atomic
def take_back_stage(piece: CanvasPiece, stage: str, *, by: User | None, now: datetime) -> bool:
    """It was said by mistake: stays on file, counts no more. False where it was not said."""
    demand_open(piece.order)
    bump_facts()
    said = CanvasProgress.objects.filter(piece=piece, stage=stage, taken_back_at=None)
    return said.update(taken_back_at=now, taken_back_by=by) == 1


def _all_have(piece: CanvasPiece, stage: str) -> bool:
    pieces = CanvasPiece.objects.filter(order=piece.order, archived=False)
    have = pieces.filter(progress__stage=stage, progress__taken_back_at=None)
    return not pieces.exclude(pk__in=have.values("pk")).exists()


def _settle(piece: CanvasPiece, kind: str, *, by: User | None, now: datetime) -> None:
    today = today_in_yard(now)
    for fact in Fact.objects.filter(order=piece.order, kind=kind).exclude(state=Fact.State.HERE):
        say_fact(fact, Here(today), seen_version=fact.version, today=today, by=by, now=now)


@transaction.atomic
def set_piece_options(
    piece: CanvasPiece, keys: Iterable[str], *, seen_version: int, by: User, now: datetime
) -> tuple[str, ...]:
    """Turn options of a piece on and off; the hours of the order's jobs follow. What changed, in words.

    Raises StaleRow, CanvasRefused for an option that this kind of piece does not have, and OrderRefused.
    """
    bump_facts()
    row = CanvasPiece.objects.select_related("order").get(pk=piece.pk)
    if row.version != seen_version:
        raise StaleRow(row)
    demand_open(row.order)
    chosen = list(CanvasOption.objects.filter(key__in=list(keys)).order_by("sequence", "id"))
    if wrong := [each.name for each in chosen if each.kinds and row.kind not in each.kinds]:
        raise CanvasRefused(_("“{option}” is not for {kind}.").format(option=wrong[0], kind=row.get_kind_display()))
    before = list(row.options.all())
    if {each.pk for each in before} == {each.pk for each in chosen}:
        return ()
    minutes: Counter[str] = Counter()
    for each in chosen:
        minutes[each.job_key] += each.extra_min
    for each in before:
        minutes[each.job_key] -= each.extra_min
    said = [_hours(row, key, extra, by=by, now=now) for key, extra in sorted(minutes.items()) if extra]
    row.options.set(chosen)
    sign(
        row,
        by=by,
        now=now,
        reason=_("options: {names}").format(names=", ".join(each.name for each in chosen) or _("none")),
    )
    row.save_over(seen_version)
    return tuple(said)


def _hours(piece: CanvasPiece, key: str, extra: int, *, by: User, now: datetime) -> str:
    """Every way of doing the job takes so much longer, or less."""
    job = Job.objects.filter(order=piece.order_id, key=key).exclude(state__in=[Job.State.DONE, Job.State.CANCELLED])
    found = job.first()
    hours = f"{abs(extra) / 60:g} h {'more' if extra > 0 else 'less'}"
    if found is None:
        return _("{hours} of “{job}”, which is no open job of this order: set the hours by hand").format(
            hours=hours, job=key.replace("_", " ")
        )
    for pk in found.ways.values_list("pk", flat=True):
        way = JobWay.objects.select_related("job__order", "job__kind").get(pk=pk)
        minutes = max(LEAST_JOB_MIN, way.duration_min + extra)
        try:
            set_hours(way, minutes, sender=Sender(by, now, way.job.order.version))
        except OrderRefused as refused:
            raise CanvasRefused(str(refused)) from refused
    return f"{hours} of {found.name}"


@transaction.atomic
def copy_panels(piece: CanvasPiece, source: CanvasPiece, *, by: User | None, now: datetime) -> int:
    """Last time's panels for this piece, but for those whose name it has already; how many. Sent twice it is once."""
    demand_open(piece.order)
    bump_facts()
    there = set(piece.panels.filter(taken_out_at=None).values_list("name", "material_id"))
    fields = [f.attname for f in CanvasPanel._meta.concrete_fields if f.name not in _NOT_COPIED]
    new = [
        CanvasPanel(piece=piece, **{name: getattr(row, name) for name in fields})
        for row in source.panels.filter(taken_out_at=None).order_by("id")
        if (row.name, row.material_id) not in there
    ]
    insert(new, by=by, now=now, reason=_("as in {ref}, {piece}").format(ref=source.order.ref, piece=source.name))
    return len(new)


_NOT_COPIED = {"id", "version", "piece", "taken_out_at"}


@transaction.atomic
def take_out_panel(panel: CanvasPanel, *, seen_version: int, by: User | None, now: datetime) -> CanvasPanel:
    """Out of the piece, or back in; it stays on file. Raises StaleRow, CanvasRefused where its name is taken by now."""
    bump_facts()
    row = CanvasPanel.objects.select_related("piece__order").get(pk=panel.pk)
    demand_open(row.piece.order)
    same = CanvasPanel.objects.filter(piece=row.piece, name=row.name, material=row.material, taken_out_at=None)
    if row.taken_out_at is not None and same.exists():
        raise CanvasRefused(_("Another panel is called “{panel}” now: change its name first.").format(panel=row.name))
    row.taken_out_at = None if row.taken_out_at else now
    sign(row, by=by, now=now, reason=_("taken out") if row.taken_out_at else _("put back"))
    return row.save_over(seen_version)
