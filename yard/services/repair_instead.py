"""A package keeps a place for repairs before anybody knows which: what the owner says of the list takes that place."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _

from yard.models import Job, JobLink, Order, RepairLine, RepairList
from yard.services.pen import Pen

KEPT, INSPECTS, STORES = "sail_repair", "sail_inspect", ("sail_store", "sail_hand_over")
OPEN = (Job.State.OPEN, Job.State.FAILED)


def place_kept(order: Order | None) -> Job | None:
    """The open job of an order that a repair list found in it stands for; None for none."""
    if order is None:
        return None
    rows = order.jobs.filter(kind__key=KEPT, state__in=OPEN, repair_line=None)
    return rows.filter(order__package__isnull=False).order_by("sequence", "id").first()


def take_its_place(row: RepairList, jobs: Sequence[Job], pen: Pen) -> None:
    """Approved lines are jobs of their own now: after the inspection, before the sails are stored or handed over."""
    order, kept = row.found_in, place_kept(row.found_in)
    if order is None or kept is None:
        return
    _let_go(kept, _("its lines are jobs of their own"), pen)
    before = order.jobs.filter(kind__key=INSPECTS, state__in=OPEN).order_by("-sequence", "-id").first()
    after = order.jobs.filter(kind__key__in=STORES, state__in=OPEN).order_by("sequence", "id").first()
    links = [(before, job) for job in jobs if before is not None]
    links += [(job, after) for job in jobs if after is not None]
    pen.write(
        [
            JobLink(
                before=one,
                after=two,
                reason=_("repair list “{list}”").format(list=row.name)[:200],
                origin=JobLink.Origin.OTHER_ORDER,
            )
            for one, two in links
        ]
    )


def nothing_to_mend(line: RepairLine, pen: Pen) -> None:
    """Where the last line that was asked about is declined too, no time is kept for repairs any more."""
    row = line.repair_list
    kept = place_kept(row.found_in)
    stands = row.lines.filter(taken_out_at=None)
    if kept is not None and not stands.exclude(answer=RepairLine.Answer.DECLINED).exists():
        _let_go(kept, _("the owner wants none of it"), pen)


def _let_go(job: Job, why: str, pen: Pen) -> None:
    job.state, job.state_note = Job.State.CANCELLED, why
    pen.sign(job)
    job.save()
